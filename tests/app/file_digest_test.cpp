// SPDX-License-Identifier: Apache-2.0
#include "app/file_digest.h"

#include <catch2/catch.hpp>
#include <string>

#include "acquire/log_texts.h"

TEST_CASE("SHA-256 gives the published digests", "[app][published]") {
  // NIST, "SHA-256" example values for FIPS 180-4: one block ("abc"), two blocks; and the long
  // message of FIPS 180-2, appendix B.3: a million times 'a'. The empty message: NIST CAVP
  // SHA256ShortMsg.rsp, Len = 0.
  CHECK(qn::sha256_of("abc").value() ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(qn::sha256_of("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq").value() ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(qn::sha256_of("").value() ==
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(qn::sha256_of(std::string(1000000, 'a')).value() ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("A file's digest is that of its bytes, over several pieces", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  std::string bytes(3'000'001, 'x');
  bytes[2'500'000] = 'y';
  const std::string path = folder.write("long.bin", bytes);
  CHECK(qn::sha256_of_file(path).value() == qn::sha256_of(bytes).value());
  CHECK(qn::sha256_of_file(folder.path("none")).error().kind == qn::ErrorKind::BadInput);
}
