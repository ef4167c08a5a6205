// SPDX-License-Identifier: Apache-2.0
// The certificate for the network: made once, kept, and made anew when it no longer does.
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>

#include "server/tls_identity.h"
#include "support/temporary_folder.h"

using namespace qn;
using qn::test::TemporaryFolder;

namespace {

constexpr std::int64_t kNow_s = 1'780'000'000;  // 28 May 2026
constexpr std::int64_t kDay_s = 86400;

struct Keeper {
  TemporaryFolder place;
  std::string folder = place.path("state/quietnorth");
  std::string file = folder + "/network-door.pem";
  OwnNames names{{"192.0.2.5"}, {"hangar", "hangar.local"}};

  TlsIdentity identity(std::int64_t now_s = kNow_s) const {
    auto kept = tls_identity(folder, names, now_s);
    REQUIRE(kept.has_value());
    return std::move(kept).value();
  }
};

unsigned mode_of(const std::string& path) {
  struct stat about {};
  REQUIRE(::stat(path.c_str(), &about) == 0);
  return about.st_mode & 0777;
}

}  // namespace

TEST_CASE("The certificate names the machine and is good for a year", "[server]") {
  const auto facts =
      facts_of(make_certificate({{"192.0.2.5", "198.51.100.7"}, {"h.local"}}, kNow_s).value());
  REQUIRE(facts.has_value());
  CHECK(facts.value().names.addresses == std::vector<std::string>{"192.0.2.5", "198.51.100.7"});
  CHECK(facts.value().names.names == std::vector<std::string>{"h.local"});
  CHECK(facts.value().until_unix_s == kNow_s + 365 * kDay_s);
  CHECK(facts.value().fingerprint.size() == 32 * 3 - 1);
}

TEST_CASE("A key that is not the certificate's is noticed", "[server]") {
  const OwnNames names{{"192.0.2.5"}, {}};
  const auto one = make_certificate(names, kNow_s).value(),
             two = make_certificate(names, kNow_s).value();
  CHECK(facts_of({one.key, one.certificate, one.authority}).has_value());
  CHECK_FALSE(facts_of({two.key, one.certificate, one.authority}).has_value());
  CHECK_FALSE(facts_of({one.key, one.certificate, two.authority}).has_value());
  CHECK_FALSE(facts_of({"", "", ""}).has_value());
}

TEST_CASE("The certificate is made once and kept where only its owner reads it", "[server]") {
  const Keeper keeper;
  const std::string first = keeper.identity().facts.fingerprint;
  CHECK(keeper.identity(kNow_s + 300 * kDay_s).facts.fingerprint == first);
  CHECK(mode_of(keeper.file) == 0600);
  CHECK(mode_of(keeper.folder) == 0700);
  // Nothing half written is left beside it.
  const auto files = std::filesystem::directory_iterator{keeper.folder};
  CHECK(std::distance(begin(files), end(files)) == 1);
}

TEST_CASE("A certificate that no longer does is made anew", "[server]") {
  Keeper keeper;
  const std::string first = keeper.identity().facts.fingerprint;
  SECTION("it ends within a week") {
    CHECK(keeper.identity(kNow_s + 359 * kDay_s).facts.fingerprint != first);
  }
  SECTION("others can read the key") {
    REQUIRE(::chmod(keeper.file.c_str(), 0640) == 0);
    CHECK(keeper.identity().facts.fingerprint != first);
    CHECK(mode_of(keeper.file) == 0600);
  }
  SECTION("it is damaged") {
    std::filesystem::resize_file(keeper.file, 700);
    CHECK(keeper.identity().facts.fingerprint != first);
  }
  SECTION("the machine has another address; the old one stays in it") {
    keeper.names.addresses = {"198.51.100.7"};
    const auto second = keeper.identity();
    CHECK(second.facts.fingerprint != first);
    CHECK(second.facts.names.addresses == std::vector<std::string>{"198.51.100.7", "192.0.2.5"});
    keeper.names.addresses = {"192.0.2.5"};  // home again
    CHECK(keeper.identity().facts.fingerprint == second.facts.fingerprint);
  }
}

TEST_CASE("A folder that takes nothing is said", "[server]") {
  const TemporaryFolder place;
  const std::string file = place.write("file", "x");
  const auto refused = tls_identity(file + "/inside", {{"192.0.2.5"}, {}}, kNow_s);
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().kind == ErrorKind::Io);
}
