// SPDX-License-Identifier: Apache-2.0
#include "store/sha256.h"

#include <catch2/catch.hpp>

#include "store/utf8_internal.h"

using qn::sha256_hex;

TEST_CASE("SHA-256 gives the values printed in RFC 6234", "[store][published]") {
  // RFC 6234, section 8.5, tests 1 and 2 of SHA-256 (from memory, as in FIPS 180's examples).
  CHECK(sha256_hex("abc").value() ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq").value() ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  qn::Sha256 in_pieces;
  in_pieces.add("a");
  in_pieces.add("");
  in_pieces.add("bc");
  CHECK(in_pieces.hex().value() == sha256_hex("abc").value());
}

TEST_CASE("fields are told apart by their lengths", "[store][closed-form]") {
  qn::Sha256 one;
  one.add_field("ab");
  one.add_field("c");
  qn::Sha256 other;
  other.add_field("a");
  other.add_field("bc");
  CHECK(one.hex().value() != other.hex().value());
}

TEST_CASE("text is well-formed UTF-8 without zero bytes", "[store][published]") {
  // RFC 3629, section 4 (the ABNF) and section 10 (overlong forms; from memory).
  for (const char* good :
       {"", "plain", "2.9\u00b0", "\u20ac", "\U0001F6E9", "\x7f", "\xf4\x8f\xbf\xbf"}) {
    INFO(good);
    CHECK(qn::is_utf8_text(good));
  }
  for (const char* bad : {"\xff", "\x80", "\xc0\x80", "\xc3", "\xe0\x80\xaf", "\xed\xa0\x80",
                          "\xf0\x80\x80\xaf", "\xf4\x90\x80\x80", "a\xe2\x82", "\xc3(x"}) {
    INFO(bad);
    CHECK_FALSE(qn::is_utf8_text(bad));
  }
  CHECK_FALSE(qn::is_utf8_text(std::string_view{"a\0b", 3}));
}
