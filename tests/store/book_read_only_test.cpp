// SPDX-License-Identifier: Apache-2.0
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <csignal>

#include "store/ordinary_user.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;
namespace fs = std::filesystem;

namespace {

/// A folder in which nothing can be written, and nothing in it either, until the object is gone.
class Protected {
 public:
  explicit Protected(const TemporaryFolder& folder) : folder_{folder.path("")} {
    for (const auto& file : fs::directory_iterator{folder_}) ::chmod(file.path().c_str(), 0444);
    ::chmod(folder_.c_str(), 0555);
  }
  ~Protected() { ::chmod(folder_.c_str(), 0755); }
  Protected(const Protected&) = delete;
  Protected& operator=(const Protected&) = delete;

 private:
  std::string folder_;
};

/// 0: opened, whole, with `sensors` sensors and so many remarks, and writing is refused.
int look(const std::string& path, std::size_t sensors, std::size_t remarks) {
  auto book = Book::open_read_only(path);
  if (!book) return 1;
  const auto found = book.value().sensors();
  if (!found || found.value().size() != sensors) return 2;
  const auto faults = book.value().check();
  if (!faults || !faults.value().empty()) return 3;
  if (book.value().remarks().size() != remarks) return 4;
  if (book.value().put_sensor({{}, "x", "", "", "", ""})) return 5;
  return 0;
}

/// Leaves a book as a killed program leaves it: with two sensors, the second only in the log.
void leave_with_leftovers(const std::string& path) {
  {
    Book book = new_book(path);
    must(book.put_sensor({{}, "wing", "uT", "", "", ""}));
  }
  const pid_t child = ::fork();
  if (child == 0) {
    auto book = Book::open(path);
    (void)!book.value().put_sensor({{}, "tail", "uT", "", "", ""}).has_value();
    ::raise(SIGKILL);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  REQUIRE(fs::file_size(path + "-wal") > 0);
  fs::remove(path + "-shm");
  fs::remove(path + "-lock");
}

}  // namespace

TEST_CASE("a book on a write-protected medium is read as it is", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("a book%1?#.qnbook");  // letters that mean more in a URI
  {
    Book book = new_book(path);
    must(book.put_sensor({{}, "wing", "uT", "", "", ""}));
  }
  const std::string before = bytes_in(path);
  const Protected guard{folder};
  CHECK(as_ordinary_user([&] { return look(path, 1, 0); }) == 0);
  CHECK(as_ordinary_user([&] {
          const auto refused = Book::open(path);
          if (refused) return 1;
          return refused.error().kind == ErrorKind::Io &&
                         refused.error().what.find("cannot be written to") != std::string::npos
                     ? 0
                     : 2;
        }) == 0);
  CHECK(bytes_in(path) == before);
}

TEST_CASE("leftovers of a crash on a write-protected medium are read, and said",
          "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  leave_with_leftovers(path);
  const std::string book = bytes_in(path), log = bytes_in(path + "-wal");
  {
    const Protected guard{folder};
    CHECK(as_ordinary_user([&] { return look(path, 2, 1); }) == 0);
  }
  CHECK(bytes_in(path) == book);
  CHECK(bytes_in(path + "-wal") == log);
}

TEST_CASE("leftovers where one may write are joined into the book", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  leave_with_leftovers(path);
  CHECK(look(path, 2, 1) == 0);
  CHECK_FALSE(fs::exists(path + "-wal"));
  CHECK(look(path, 2, 0) == 0);
}

TEST_CASE("a book that may not be read at all says so", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  { Book book = new_book(path); }
  ::chmod(path.c_str(), 0000);
  CHECK(as_ordinary_user([&] {
          const auto refused = Book::open_read_only(path);
          if (refused) return 1;
          return refused.error().what.find("Permission denied") != std::string::npos ? 0 : 2;
        }) == 0);
}
