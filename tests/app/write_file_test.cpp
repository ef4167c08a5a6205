// SPDX-License-Identifier: Apache-2.0
#include "app/write_file.h"

#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "acquire/log_texts.h"

namespace {

std::string content(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

std::size_t files_in(const std::string& folder) {
  const std::filesystem::directory_iterator files{folder};
  return static_cast<std::size_t>(std::distance(begin(files), end(files)));
}

}  // namespace

TEST_CASE("A file is written whole and an old one replaced", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const std::string path = folder.path("sheet.pdf");
  REQUIRE(qn::write_file(path, std::string("a\0b", 3)).has_value());
  CHECK(content(path) == std::string("a\0b", 3));
  REQUIRE(::chmod(path.c_str(), 0640) == 0);
  REQUIRE(qn::write_file(path, "second").has_value());
  CHECK(content(path) == "second");
  struct stat info {};
  REQUIRE(::stat(path.c_str(), &info) == 0);
  CHECK((info.st_mode & 07777) == 0640);
  CHECK(files_in(folder.path("")) == 1);
}

TEST_CASE("A link is followed, not replaced", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const std::string real = folder.write("real", "old");
  std::filesystem::create_symlink(real, folder.path("link"));
  REQUIRE(qn::write_file(folder.path("link"), "new").has_value());
  CHECK(content(real) == "new");
  CHECK(std::filesystem::is_symlink(folder.path("link")));
}

TEST_CASE("When writing fails the old file stays and nothing is left behind",
          "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const std::string path = folder.write("kept.json", "old");
  // A limit on the size of files stands in for a full disk: write() stops half-way.
  struct rlimit before {};
  REQUIRE(::getrlimit(RLIMIT_FSIZE, &before) == 0);
  const auto handler = std::signal(SIGXFSZ, SIG_IGN);
  const struct rlimit small { 10000, before.rlim_max };
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &small) == 0);
  const auto written = qn::write_file(path, std::string(50000, 'x'));
  REQUIRE(::setrlimit(RLIMIT_FSIZE, &before) == 0);
  std::signal(SIGXFSZ, handler);
  REQUIRE_FALSE(written.has_value());
  CHECK(written.error().kind == qn::ErrorKind::Io);
  CHECK(content(path) == "old");
  CHECK(files_in(folder.path("")) == 1);
}

TEST_CASE("Places that cannot be written to are refused with advice", "[app][closed-form]") {
  const qn::test::TemporaryFolder folder;
  const auto no_folder = qn::write_file(folder.path("none/x"), "x");
  REQUIRE_FALSE(no_folder.has_value());
  CHECK(no_folder.error().kind == qn::ErrorKind::Io);
  CHECK(qn::test::contains(no_folder.error().remedy, "create the folder"));
  const auto a_folder = qn::write_file(folder.path(""), "x");
  REQUIRE_FALSE(a_folder.has_value());
  CHECK(qn::test::contains(a_folder.error().remedy, "inside the folder"));
  CHECK_FALSE(qn::write_file("", "x").has_value());
  CHECK_FALSE(qn::write_file("/dev/full", "x").has_value());
  CHECK(qn::write_file("/dev/null", "x").has_value());
}
