// SPDX-License-Identifier: Apache-2.0
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <filesystem>

#include "store/raw_sqlite.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;
namespace fs = std::filesystem;

namespace {

std::size_t files_in(const TemporaryFolder& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator{folder.path("")}, fs::directory_iterator{}));
}

Error refusal(const Result<Book>& book) {
  if (book) FAIL("the book was opened");
  return book.error();
}

bool holds(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// Another program that opens the book, adds a sensor, and then does what `then` says. Returns when
/// the sensor is acknowledged.
pid_t other_program(const std::string& path, void (*then)()) {
  int ready[2];
  if (::pipe(ready) != 0) FAIL("no pipe");
  const pid_t child = ::fork();
  if (child == 0) {
    {
      auto book = Book::open(path);
      if (book && book.value().put_sensor({{}, "wing", "uT", "", "", ""})) {
        (void)!::write(ready[1], "r", 1);
      }
      then();
    }
    ::_exit(0);
  }
  char byte = 0;
  ::close(ready[1]);
  CHECK(::read(ready[0], &byte, 1) == 1);
  ::close(ready[0]);
  return child;
}

}  // namespace

TEST_CASE("a closed book is one file", "[store][closed-form]") {
  const TemporaryFolder folder;
  {
    Book book = new_book(folder.path("b.qnbook"));
    fill_sample(book);
  }
  CHECK(files_in(folder) == 1);
  { const Book book = must(Book::open_read_only(folder.path("b.qnbook"))); }
  CHECK(files_in(folder) == 1);
}

TEST_CASE("a new book never takes the place of a file", "[store][closed-form]") {
  const TemporaryFolder folder;
  folder.write("b.qnbook", "mine");
  const auto refused = Book::create(folder.path("b.qnbook"), {"Tern", "", ""});
  CHECK(refusal(refused).kind == ErrorKind::Io);
  CHECK(holds(refusal(refused).what, "already"));
  CHECK(fs::file_size(folder.path("b.qnbook")) == 4);
  CHECK(files_in(folder) == 1);
  CHECK(refusal(Book::create(folder.path("none/b.qnbook"), {})).kind == ErrorKind::Io);
  CHECK_FALSE(Book::create(folder.path(""), {}));
}

TEST_CASE("what is no book is told from a book, in plain words", "[store][closed-form]") {
  const TemporaryFolder folder;
  folder.write("text.qnbook", "time_s,field_x_uT\n0,1\n");
  folder.write("empty.qnbook", "");
  folder.write("noise.qnbook", std::string(100000, '\x5a'));
  RawSqlite{folder.path("other.qnbook")}.run("CREATE TABLE t (a); INSERT INTO t VALUES (1)");
  for (const char* name : {"text", "empty", "noise", "other"}) {
    INFO(name);
    const std::string path = folder.path(std::string{name} + ".qnbook");
    const auto size = fs::file_size(path);
    for (const auto& error : {refusal(Book::open(path)), refusal(Book::open_read_only(path))}) {
      CHECK(error.kind == ErrorKind::BadInput);
      CHECK(holds(error.what, "no aircraft book"));
      CHECK(error.where == path);
    }
    CHECK(fs::file_size(path) == size);
  }
  CHECK(holds(refusal(Book::open(folder.path("none.qnbook"))).what, "no such book"));
  CHECK(holds(refusal(Book::open_read_only(folder.path("none.qnbook"))).what, "no such book"));
  CHECK_FALSE(fs::exists(folder.path("none.qnbook")));
  CHECK(holds(refusal(Book::open(folder.path(""))).what, "folder"));
  CHECK(holds(refusal(Book::open_read_only("")).where, "''"));
  CHECK(files_in(folder) == 4);
}

TEST_CASE("a book of a newer version is refused and left alone", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  { Book book = new_book(path); }
  RawSqlite{path}.run("PRAGMA user_version = 3");
  for (const auto& error : {refusal(Book::open(path)), refusal(Book::open_read_only(path))}) {
    CHECK(error.kind == ErrorKind::BadInput);
    CHECK(holds(error.what, "newer version"));
    CHECK(holds(error.what, "3"));
  }
  CHECK(RawSqlite{path}.number("PRAGMA user_version") == 3);
  RawSqlite{path}.run("PRAGMA user_version = 0");
  CHECK(refusal(Book::open(path)).kind == ErrorKind::Corrupt);
}

TEST_CASE("a second program that would write is told who writes", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  Book book = new_book(path);
  fs::create_symlink(path, folder.path("other-name.qnbook"));
  for (const std::string& name : {path, folder.path("other-name.qnbook")}) {
    const auto refused = refusal(Book::open(name, std::chrono::milliseconds{30}));
    CHECK(refused.kind == ErrorKind::Io);
    CHECK(holds(refused.what, "another program is writing to this book (process " +
                                  std::to_string(::getpid()) + ")"));
  }
  // Reading goes on beside it, and sees what was acknowledged.
  const Book looking = must(Book::open_read_only(path));
  must(book.put_sensor({{}, "wing", "uT", "", "", ""}));
  CHECK(must(looking.sensors()).size() == 1);
  CHECK_FALSE(const_cast<Book&>(looking).put_sensor({{}, "tail", "uT", "", "", ""}));
  must(book.put_sensor({{}, "tail", "uT", "", "", ""}));
  CHECK(faults_of(book).empty());
}

TEST_CASE("one that is just finishing is waited for", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  { Book book = new_book(path); }
  const pid_t child = other_program(path, [] { ::usleep(100000); });
  CHECK_FALSE(Book::open(path, std::chrono::milliseconds{0}));
  CHECK(Book::open(path, std::chrono::milliseconds{10000}));  // much patience against 0.1 s
  ::waitpid(child, nullptr, 0);
}

TEST_CASE("the lock of a killed program does not keep the next one out", "[store][closed-form]") {
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  { Book book = new_book(path); }
  const pid_t child = other_program(path, [] { ::pause(); });
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  CHECK(fs::exists(path + "-lock"));
  {
    const Book book = must(Book::open(path, std::chrono::milliseconds{0}));
    CHECK(must(book.sensors()).size() == 1);
    REQUIRE(book.remarks().size() == 1);
    CHECK(holds(book.remarks()[0], "did not end properly"));
  }
  CHECK(files_in(folder) == 1);
}

TEST_CASE("a copy is an equal book, made beside a writer", "[store][closed-form]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  fill_sample(book);
  must(book.copy_to(folder.path("copy.qnbook")));
  must(must(Book::open_read_only(folder.path("b.qnbook"))).copy_to(folder.path("second.qnbook")));
  for (const char* name : {"copy.qnbook", "second.qnbook"}) {
    const Book copy = must(Book::open(folder.path(name)));
    CHECK(must(copy.content_sha256()) == must(book.content_sha256()));
    CHECK(faults_of(copy).empty());
  }
  CHECK_FALSE(book.copy_to(folder.path("copy.qnbook")));
  must(book.put_site({{}, "hangar", {}, {}, {}, {}, {}, ""}));
  CHECK(must(book.content_sha256()) !=
        must(must(Book::open(folder.path("copy.qnbook"))).content_sha256()));
}
