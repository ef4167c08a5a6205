// SPDX-License-Identifier: Apache-2.0
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <random>

#include "store/raw_sqlite.h"
#include "store/watched_files.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;

namespace {

/// Records until it is killed; a byte on the pipe for each acknowledgement.
[[noreturn]] void record_until_killed(const std::string& path, int pipe) {
  auto book = Book::open(path);
  if (!book) ::_exit(2);
  const auto recordings = book.value().recordings();
  if (!recordings) ::_exit(3);
  if (::write(pipe, "o", 1) != 1) ::_exit(8);
  for (std::size_t n = recordings.value()[0].stretches;; ++n) {
    if (!book.value().append(RecordingId{1}, second_of_bytes(n))) ::_exit(4);
    if (::write(pipe, "s", 1) != 1) ::_exit(5);
    if (!book.value().append_event(RunId{1}, sample_event(n))) ::_exit(6);
    if (::write(pipe, "e", 1) != 1) ::_exit(7);
  }
}

struct Acknowledged {
  std::size_t stretches = 0, events = 0;
};

/// Kills `after_us` after so many words from the child; none: it may still be opening the book.
Acknowledged record_and_kill(const std::string& path, std::size_t words, useconds_t after_us) {
  int ends[2];
  if (::pipe(ends) != 0) FAIL("no pipe");
  const pid_t child = ::fork();
  if (child == 0) record_until_killed(path, ends[1]);
  ::close(ends[1]);
  Acknowledged out;
  char byte = 0;
  const auto hear = [&] {
    if (::read(ends[0], &byte, 1) != 1) return false;
    if (byte == 's') ++out.stretches;
    if (byte == 'e') ++out.events;
    return true;
  };
  for (std::size_t i = 0; i < words; ++i) CHECK(hear());
  ::usleep(after_us);
  ::kill(child, SIGKILL);
  int status = 0;
  ::waitpid(child, &status, 0);
  CHECK(WIFSIGNALED(status));  // else it ended by itself: something was refused
  while (hear()) {
  }
  ::close(ends[0]);
  return out;
}

/// Kills a recording `times` times at random moments and looks at the book after each. Without
/// waiting for the disk: what a process has written is there when it is killed, synced or not
/// (power cuts are another test), and so there are kills at every point of a commit.
void survive(int times, std::uint32_t seed) {
  const WatchedFiles no_waiting_for_the_disk;
  const TemporaryFolder folder;
  const std::string path = folder.path("b.qnbook");
  {
    Book book = new_book(path);
    must(book.start_recording(sample_recording()));
    must(book.start_run({"disturbance", RecordingId{1}, "2026-05-14T08:00:00Z", "{}"}));
  }
  std::mt19937 random{seed};
  std::size_t stretches = 0, events = 0, in_the_middle = 0, total = 0;
  for (int i = 0; i < times; ++i) {
    INFO("kill number " << i << ", seed " << seed);
    const std::size_t words = random() % 8;
    const auto said = record_and_kill(path, words, static_cast<useconds_t>(random() % 2000));
    total += said.stretches + said.events;
    {
      const Book book = must(Book::open(path));
      const auto found = must(book.recording(RecordingId{1}));
      const auto journal = must(book.events(RunId{1}));
      // Everything acknowledged, and at most the one that was under way: its answer was cut off.
      CHECK(found.stretches >= stretches + said.stretches);
      CHECK(found.stretches <= stretches + said.stretches + 1);
      CHECK(journal.size() >= events + said.events);
      CHECK(journal.size() <= events + said.events + 1);
      if (found.stretches > 0) {
        CHECK(found.complete_until_s == static_cast<double>(found.stretches));
      }
      std::size_t n = stretches;
      must(book.read_stretches(RecordingId{1}, n, [&](const Stretch& stretch) {
        CHECK(stretch.links.at(0).bytes == second_of_bytes(n++).links[0].bytes);
        return true;
      }));
      CHECK(n == found.stretches);
      if (!journal.empty()) {
        CHECK(journal.back().kind == "tap");
      }
      if (!book.remarks().empty()) ++in_the_middle;
      stretches = found.stretches;
      events = journal.size();
    }
    CHECK(integrity_of(path) == "ok");
  }
  CHECK(faults_of(must(Book::open(path))).empty());
  CHECK(in_the_middle > static_cast<std::size_t>(times) / 3);  // else the moments were not random
  CHECK(total > static_cast<std::size_t>(times));
}

}  // namespace

TEST_CASE("fifty kills at random moments cost nothing that was acknowledged",
          "[store][synthetic]") {
  survive(50, 20260514);
}

TEST_CASE("five hundred kills at random moments cost nothing that was acknowledged",
          "[store][synthetic][long]") {
  for (std::uint32_t book = 0; book < 10; ++book) survive(50, 20260515 + book);
}
