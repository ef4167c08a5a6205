// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <functional>

#include "store/raw_sqlite.h"
#include "store/watched_files.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;

namespace {

using Step = std::function<std::optional<Error>(Book&)>;

template <class T>
std::optional<Error> error_of(const Result<T>& result) {
  if (result) return std::nullopt;
  return result.error();
}

/// A run as it is recorded, each step acknowledged by itself.
/// large  bytes in the second second; above four million the write-ahead log is folded in
std::vector<Step> steps_of_a_run(std::size_t large) {
  std::vector<Step> steps = {
      [](Book& b) { return error_of(b.set_equipment(sample_equipment())); },
      [](Book& b) { return error_of(b.start_recording(sample_recording())); },
      [](Book& b) {
        return error_of(b.start_run({"disturbance", RecordingId{1}, "2026-05-14T08:00:00Z", "{}"}));
      }};
  for (std::size_t n = 0; n < 4; ++n) {
    steps.push_back([n, large](Book& b) {
      Stretch stretch = second_of_bytes(n);
      const std::string bytes(n == 1 ? large : 9000, static_cast<char>('a' + n));
      stretch.links[0] = {0, bytes, {{static_cast<std::uint32_t>(bytes.size()), stretch.until_s}}};
      return error_of(b.append(RecordingId{1}, stretch));
    });
    steps.push_back([n](Book& b) { return error_of(b.append_event(RunId{1}, sample_event(n))); });
  }
  steps.push_back([](Book& b) { return error_of(b.add_finding(sample_finding())); });
  steps.push_back([](Book& b) { return error_of(b.end_recording(RecordingId{1}, 4.0)); });
  return steps;
}

/// The whole run, each step done again when the disk was full, after room was made.
/// returns  how often it was full
int record(const std::string& path, WatchedFiles& files, std::size_t large) {
  int refusals = 0;
  const auto make_room = [&](const Error& error) {
    ++refusals;
    CHECK(error.kind == ErrorKind::Io);
    CHECK(error.what.find("disk is full") != std::string::npos);
    files.fill_disk_after(0);
  };
  auto opened = Book::open(path);
  if (!opened) {
    make_room(opened.error());
    opened = Book::open(path);
  }
  Book book = must(std::move(opened));
  for (const Step& step : steps_of_a_run(large)) {
    const auto refused = step(book);
    if (!refused) continue;
    make_room(*refused);
    if (const auto again = step(book)) FAIL(to_text(*again));
  }
  return refusals;
}

/// How many writes, truncations and syncs were tried, and at how many the run was told.
struct Tried {
  int writes = 0, tried = 0, refused = 0;
};

/// The run with the disk full at every `stride`-th operation; afterwards the book must be the one
/// that it would have been with room enough.
Tried fill_at_every(int stride, std::size_t large) {
  const TemporaryFolder folder;
  { Book book = new_book(folder.path("start.qnbook")); }
  WatchedFiles files;
  const std::string path = folder.path("b.qnbook");
  const auto start_again = [&] {
    std::filesystem::copy_file(folder.path("start.qnbook"), path,
                               std::filesystem::copy_options::overwrite_existing);
    files.log.clear();
  };
  start_again();
  CHECK(record(path, files, large) == 0);
  Tried out;
  out.writes = static_cast<int>(files.log.size());
  const std::string expected = must(must(Book::open(path)).content_sha256());
  for (int n = 1; n <= out.writes; n += stride) {
    INFO("the disk is full at operation " << n << " of " << out.writes);
    start_again();
    files.fill_disk_after(n);
    out.refused += record(path, files, large);
    files.fill_disk_after(0);
    ++out.tried;
    const Book book = must(Book::open(path));
    CHECK(must(book.content_sha256()) == expected);
    CHECK(faults_of(book).empty());
  }
  return out;
}

}  // namespace

TEST_CASE("a disk that fills at any write costs nothing that was acknowledged",
          "[store][synthetic]") {
  const auto small = fill_at_every(1, 9000);
  CHECK(small.tried > 80);
  CHECK(small.refused > 60);
  // A full disk while the log is folded in is no refusal: the step is safe in the log already.
  CHECK(small.refused <= small.tried);
}

TEST_CASE("nor does one that fills while the log is folded in", "[store][synthetic]") {
  const auto large = fill_at_every(211, 4300000);
  CHECK(large.writes > 2000);
  CHECK(large.tried > 10);
}

TEST_CASE("nor at a hundred places of a large one", "[store][synthetic][long]") {
  CHECK(fill_at_every(31, 4300000).tried > 100);
}

TEST_CASE("a book that cannot be made on a full disk is not there", "[store][synthetic]") {
  const TemporaryFolder folder;
  WatchedFiles files;
  int refusals = 0;
  for (int n = 1; n < 400; ++n) {
    INFO("write " << n);
    files.fill_disk_after(n);
    const auto made = Book::create(folder.path("b.qnbook"), {"Tern", "", ""});
    const bool full = files.refused();
    files.fill_disk_after(0);
    if (made && !full) break;  // n is beyond the last write
    if (!made) {
      ++refusals;
      CHECK(made.error().kind == ErrorKind::Io);
    }
    // Either nothing, or a whole book whose opening failed for want of room.
    if (std::filesystem::exists(folder.path("b.qnbook"))) {
      CHECK(faults_of(must(Book::open(folder.path("b.qnbook")))).empty());
      std::filesystem::remove(folder.path("b.qnbook"));
    }
    CHECK(std::filesystem::is_empty(folder.path("")));
  }
  CHECK(refusals > 10);
}
