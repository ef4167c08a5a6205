// SPDX-License-Identifier: Apache-2.0
#include "app/read_text_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "support/temporary_folder.h"

namespace {

void check_refused(const std::string& path, const std::string& why) {
  const auto text = qn::read_text_file(path);
  REQUIRE_FALSE(text.has_value());
  CHECK(text.error().kind == qn::ErrorKind::BadInput);
  CHECK(text.error().where == path);
  INFO(text.error().what);
  CHECK(text.error().what.find(why) != std::string::npos);
}

}  // namespace

TEST_CASE("a file is read byte for byte", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const std::string bytes("a\r\n\0\xff b", 7);
  CHECK(qn::read_text_file(folder.write("bytes", bytes)).value() == bytes);
  CHECK(qn::read_text_file(folder.write("empty", "")).value().empty());
}

TEST_CASE("what cannot be read is named with the reason", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  check_refused(folder.path("missing.json"), "no such file");
  check_refused(folder.path(""), "folder");
  check_refused(folder.write("file", "x") + "/below", "no such file");
}

TEST_CASE("a file above 64 MiB is not read at all", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const std::string path = folder.write("large", "x");
  std::filesystem::resize_file(path, (64ULL << 20) + 1);  // a hole: costs no disk
  check_refused(path, "larger than 64 MiB");
}
