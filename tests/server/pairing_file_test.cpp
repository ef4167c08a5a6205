// SPDX-License-Identifier: Apache-2.0
// Who is paired outlives the program, not the twelve hours; a file that others can read is not
// believed.
#include "server/pairing_file.h"

#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>

#include "server/lan_server.h"
#include "support/temporary_folder.h"

using namespace qn;
using namespace qn::test;

namespace {

constexpr std::int64_t kNow_s = 1'780'000'000;  // 28 May 2026

struct Clock {
  double now_s = 100.0;
  Pairing pairing{[this] { return now_s; }, [] { return std::string{"2026-05-28T20:26:40Z"}; }};
  std::string enter(Role role, const std::string& name) {
    pairing.invite(role);
    const auto entry = pairing.enter(pairing.invitation()->shown, name, "192.0.2.7");
    REQUIRE(entry.outcome == Pairing::Outcome::paired);
    return entry.token;
  }
};

}  // namespace

TEST_CASE("those who are paired are known again by the next run of the program", "[server]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("pairings.json");
  Clock before;
  const std::string phone = before.enter(Role::operate, "phone");
  const std::string tablet = before.enter(Role::look_on, "wing tip");
  before.now_s += 3600.0;
  REQUIRE_FALSE(write_pairings(path, before.pairing.kept(), kNow_s));
  struct stat about {};
  REQUIRE(::stat(path.c_str(), &about) == 0);
  CHECK((about.st_mode & 0777) == 0600);
  std::ifstream in{path};
  const std::string text{std::istreambuf_iterator<char>{in}, {}};
  CHECK(text.find(phone) == std::string::npos);  // a hash only

  Clock after;
  after.pairing.restore(read_pairings(path, kNow_s + 60));
  REQUIRE(after.pairing.who(phone));
  CHECK(after.pairing.who(phone)->role == Role::operate);
  CHECK(after.pairing.who(tablet)->role == Role::look_on);
  CHECK(after.pairing.who(tablet)->name == "wing tip");
  CHECK_FALSE(after.pairing.who(std::string(64, 'a')));
  after.now_s += Pairing::kVisitLife_s - 3700.0;
  CHECK(after.pairing.who(phone));
  after.now_s += 60.0;  // the hour and the minute before count
  CHECK_FALSE(after.pairing.who(phone));

  Clock late;
  late.pairing.restore(read_pairings(path, kNow_s + 12 * 3600));
  CHECK(late.pairing.visitors().empty());
}

TEST_CASE("a file of pairings that cannot be trusted lets nobody in", "[server]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("pairings.json");
  CHECK(read_pairings(path, kNow_s).empty());
  Clock one;
  const std::string token = one.enter(Role::operate, "phone");
  REQUIRE_FALSE(write_pairings(path, one.pairing.kept(), kNow_s));
  REQUIRE(::chmod(path.c_str(), 0644) == 0);
  CHECK(read_pairings(path, kNow_s).empty());
  for (const char* text : {"", "{", "[]", R"({"paired":[{}]})", R"({"paired":7})"}) {
    std::ofstream{path} << text;
    REQUIRE(::chmod(path.c_str(), 0600) == 0);
    CHECK(read_pairings(path, kNow_s).empty());
  }
  Clock other;
  auto kept = one.pairing.kept();
  kept.front().token_sha256 = "no hash";
  other.pairing.restore(kept);
  CHECK(other.pairing.visitors().empty());
}

TEST_CASE("a device that pairs again takes the place of its old pairing", "[server]") {
  const LanServer lan;
  const std::string device = lan.paired("look_on");
  REQUIRE(lan.pairing().at("paired").size() == 1);
  const std::string body =
      nlohmann::json{{"code", lan.new_code("operate")}, {"name", "phone"}}.dump();
  CHECK(lan.ask("POST", "/api/pair", body, device + lan.origin_line()).status == 204);
  const auto paired = lan.pairing().at("paired");
  REQUIRE(paired.size() == 1);
  CHECK(paired[0].at("role") == "operate");
  CHECK(lan.ask("GET", "/api/about", "", device).status == 403);
}
