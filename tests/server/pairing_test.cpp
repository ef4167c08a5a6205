// SPDX-License-Identifier: Apache-2.0
// Who is let in, by the clock of the test.
#include "server/pairing.h"

#include <catch2/catch.hpp>
#include <cctype>
#include <set>
#include <string>
#include <vector>

using namespace qn;
using Outcome = Pairing::Outcome;

namespace {

struct Door {
  double now_s = 1000.0;
  Pairing pairing{[this] { return now_s; }, [] { return std::string{"2026-05-14T08:00:00Z"}; }};

  std::string invited(Role role = Role::operate) {
    pairing.invite(role);
    return pairing.invitation()->shown;
  }
  Outcome enter(const std::string& code, const std::string& peer = "192.0.2.7") {
    return pairing.enter(code, "phone", peer).outcome;
  }
};

}  // namespace

TEST_CASE("A code lets one device in, once", "[server]") {
  Door door;
  const std::string code = door.invited();
  const auto entry = door.pairing.enter(code, "phone", "192.0.2.7");
  REQUIRE(entry.outcome == Outcome::paired);
  CHECK(entry.token.size() == 64);  // 256 bits in hex
  CHECK_FALSE(door.pairing.invitation());
  CHECK(door.enter(code) == Outcome::wrong);
  const auto visitor = door.pairing.who(entry.token);
  REQUIRE(visitor);
  CHECK(visitor->name == "phone");
  CHECK(visitor->role == Role::operate);
  CHECK(visitor->since_utc == "2026-05-14T08:00:00Z");
}

TEST_CASE("A code has eight signs that are not taken for one another", "[server]") {
  Door door;
  std::set<char> seen;
  for (int i = 0; i < 400; ++i) {
    const std::string code = door.invited();
    REQUIRE(code.size() == 9);
    CHECK(code[4] == '-');
    seen.insert(code.begin(), code.end());
  }
  seen.erase('-');
  CHECK(seen.size() == 32);  // 5 bits a sign; 3200 draws miss one of 32 once in 10^42
  for (const char c : {'I', 'L', 'O', 'U'}) CHECK(seen.count(c) == 0);
}

TEST_CASE("A code is taken as people type it", "[server]") {
  Door door;
  for (int i = 0; i < 50; ++i) {
    std::string code = door.invited(Role::look_on);
    for (char& c : code) {
      c = c == '-'   ? ' '
          : c == '0' ? 'o'
          : c == '1' ? (i % 2 == 0 ? 'l' : 'I')
                     : static_cast<char>(std::tolower(c));
    }
    CHECK(door.enter(code) == Outcome::paired);
  }
}

TEST_CASE("A code is worth nothing after five minutes, or when there is a newer one", "[server]") {
  Door door;
  const std::string first = door.invited();
  door.now_s += 299.0;
  CHECK(door.pairing.invitation()->left_s == Approx(1.0));
  door.now_s += 2.0;
  CHECK_FALSE(door.pairing.invitation());
  CHECK(door.enter(first) == Outcome::wrong);
  const std::string second = door.invited(), third = door.invited();
  CHECK(door.enter(second) == Outcome::wrong);
  CHECK(door.enter(third) == Outcome::paired);
}

TEST_CASE("Without an invitation nothing is a code", "[server]") {
  Door door;
  for (const char* code :
       {"", "????????", "0000-0000", "--------", "a very long text that is none"}) {
    Door fresh;
    CHECK(fresh.enter(code) == Outcome::wrong);
  }
}

TEST_CASE("After five wrong codes in a minute an address waits, the others do not", "[server]") {
  Door door;
  const std::string code = door.invited();
  for (int i = 0; i < 5; ++i) CHECK(door.enter("0000-0000", "192.0.2.9") == Outcome::wrong);
  CHECK(door.enter(code, "192.0.2.9") == Outcome::too_many);  // the right one too
  door.now_s += 59.0;
  CHECK(door.enter(code, "192.0.2.9") == Outcome::too_many);
  door.now_s += 2.0;
  CHECK(door.enter(code, "192.0.2.9") == Outcome::paired);
}

TEST_CASE("After twenty wrong codes from wherever the code is another one and all wait",
          "[server]") {
  Door door;
  const std::string code = door.invited(Role::look_on);
  bool replaced = false;
  for (int i = 0; i < 20; ++i) {
    REQUIRE_FALSE(replaced);
    const std::string peer = "192.0.2." + std::to_string(i);
    replaced = door.pairing.enter("0000-0000", "x", peer).new_code;
  }
  CHECK(replaced);
  CHECK(door.pairing.invitation()->shown != code);
  CHECK(door.pairing.invitation()->role == Role::look_on);
  CHECK(door.enter(door.pairing.invitation()->shown, "192.0.2.200") == Outcome::too_many);
  door.now_s += 61.0;
  CHECK(door.enter(code, "192.0.2.200") == Outcome::wrong);
  CHECK(door.enter(door.pairing.invitation()->shown, "192.0.2.200") == Outcome::paired);
}

TEST_CASE("Wrong codes at a slow pace use the code up as well", "[server]") {
  Door door;
  const std::string code = door.invited();
  for (int i = 0; i < 20; ++i) {
    door.now_s += 14.0;  // four a minute, 280 s in all: it would still be good
    CHECK(door.enter("0000-0000", "192.0.2." + std::to_string(i)) == Outcome::wrong);
  }
  CHECK(door.enter(code) == Outcome::wrong);
}

TEST_CASE("A token that is nobody's opens nothing", "[server]") {
  Door door;
  const std::string token = door.pairing.enter(door.invited(), "phone", "192.0.2.7").token;
  std::string other = token;
  other[63] = other[63] == '0' ? '1' : '0';
  CHECK(door.pairing.who(token));
  for (const std::string& wrong : {other, token + "0", token.substr(1), std::string{}}) {
    CHECK_FALSE(door.pairing.who(wrong));
  }
}

TEST_CASE("A visit ends when it is revoked or after twelve hours, and that is told", "[server]") {
  Door door;
  std::string gone;
  door.pairing.on_gone = [&](const std::string& id) { gone += id + " "; };
  const std::string first = door.pairing.enter(door.invited(), "phone", "192.0.2.7").token;
  const std::string second = door.pairing.enter(door.invited(), "phone", "192.0.2.8").token;
  REQUIRE(door.pairing.visitors().size() == 2);
  CHECK(door.pairing.visitors()[1].name == "phone 2");
  const std::string id = door.pairing.visitors()[0].id, id2 = door.pairing.visitors()[1].id;
  CHECK_FALSE(door.pairing.revoke("none"));
  CHECK(door.pairing.revoke(id));
  CHECK_FALSE(door.pairing.who(first));
  CHECK(door.pairing.who(second));
  door.now_s += 12.0 * 3600.0 + 1.0;
  CHECK_FALSE(door.pairing.who(second));
  CHECK(gone == id + " " + id2 + " ");
}

TEST_CASE("The thirty-third device takes the place of the one that was away longest", "[server]") {
  Door door;
  std::vector<std::string> tokens;
  for (int i = 0; i < 32; ++i) {
    tokens.push_back(door.pairing.enter(door.invited(), "d", "192.0.2.7").token);
    door.now_s += 1.0;
  }
  CHECK(door.pairing.who(tokens[0]));  // seen now, so it is no longer the oldest
  CHECK(door.enter(door.invited()) == Outcome::paired);
  CHECK(door.pairing.visitors().size() == 32);
  CHECK(door.pairing.who(tokens[0]));
  CHECK_FALSE(door.pairing.who(tokens[1]));
}

TEST_CASE("A device's name is short, of whole letters, and breaks no line", "[server]") {
  Door door;
  std::string long_name;
  for (int i = 0; i < 30; ++i) long_name += "\u00fc";  // 60 bytes
  door.pairing.enter(door.invited(), "a\nb\x7f", "192.0.2.7");
  door.pairing.enter(door.invited(), "x" + long_name, "192.0.2.7");
  door.pairing.enter(door.invited(), "  ", "192.0.2.7");
  CHECK(door.pairing.visitors()[0].name == "ab");
  CHECK(door.pairing.visitors()[1].name == "x" + long_name.substr(0, 38));  // 39 of 40 bytes
  CHECK(door.pairing.visitors()[2].name == "device");
}
