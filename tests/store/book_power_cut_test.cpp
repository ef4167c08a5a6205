// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>

#include "store/raw_sqlite.h"
#include "store/watched_files.h"
#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;

namespace {

/// Second `n` with so many bytes that some forty of them make SQLite fold its log in.
Stretch heavy_second(std::size_t n) {
  Stretch stretch = second_of_bytes(n);
  const std::string bytes(100000, static_cast<char>('a' + n % 26));
  stretch.links[0] = {0, bytes, {{100000, stretch.until_s}}};
  return stretch;
}

/// A recording of which it is known after how many operations each second was acknowledged.
struct Recorded {
  std::map<std::string, std::string> before;
  std::vector<WatchedFiles::Operation> log;
  std::vector<std::size_t> acknowledged_at;
  std::string path;
};

Recorded record(const TemporaryFolder& folder, std::size_t seconds) {
  Recorded out;
  out.path = folder.path("b.qnbook");
  {
    Book book = new_book(out.path);
    must(book.start_recording(sample_recording()));
    must(book.start_run({"disturbance", RecordingId{1}, "2026-05-14T08:00:00Z", "{}"}));
  }
  out.before[out.path] = bytes_in(out.path);
  WatchedFiles files;
  Book book = must(Book::open(out.path));
  for (std::size_t n = 0; n < seconds; ++n) {
    must(book.append(RecordingId{1}, heavy_second(n)));
    must(book.append_event(RunId{1}, sample_event(n)));
    out.acknowledged_at.push_back(files.log.size());
  }
  out.log = files.log;
  return out;
}

/// Opens what the power cut left and asks for everything that was acknowledged by then.
void check_after(const std::map<std::string, std::string>& files, const Recorded& recorded,
                 std::size_t acknowledged) {
  const TemporaryFolder folder;
  const WatchedFiles no_waiting_for_the_disk;
  const std::string path = folder.path("b.qnbook");
  for (const auto& [name, content] : files) {
    folder.write("b.qnbook" + name.substr(recorded.path.size()), content);
  }
  {
    Book book = must(Book::open(path));
    CHECK(faults_of(book).empty());
    const auto until = must(book.complete_until_s(RecordingId{1})).value_or(0.0);
    CHECK(until >= static_cast<double>(acknowledged));
    CHECK(until <= static_cast<double>(acknowledged + 1));
    std::size_t n = 0;
    must(book.read_stretches(RecordingId{1}, 0, [&](const Stretch& stretch) {
      CHECK(stretch.links.at(0).bytes == heavy_second(n++).links[0].bytes);
      return true;
    }));
    CHECK(n == static_cast<std::size_t>(until));
    CHECK(must(book.events(RunId{1})).size() >= acknowledged);
    must(book.append(RecordingId{1}, heavy_second(n)));  // and it goes on
  }
  CHECK(integrity_of(path) == "ok");
}

/// Cuts around every `every`-th acknowledgement, where order matters most, and all along in steps.
std::size_t cut_power(std::size_t every, std::size_t stride) {
  const TemporaryFolder folder;
  const Recorded recorded = record(folder, 60);
  bool folded_in = false;
  for (const auto& op : recorded.log) folded_in = folded_in || op.path == recorded.path;
  CHECK(folded_in);  // else the most delicate moment was not there
  std::size_t tried = 0;
  for (std::size_t cut = 0; cut <= recorded.log.size(); ++cut) {
    std::size_t acknowledged = 0;
    bool near = cut % stride == 0;
    for (const std::size_t at : recorded.acknowledged_at) {
      if (at <= cut) ++acknowledged;
      near = near || (acknowledged % every == 0 && cut + 2 >= at && cut <= at + 2);
    }
    if (!near) continue;
    INFO("cut before operation " << cut << " of " << recorded.log.size());
    check_after(after_power_cut(recorded.log, cut, ++tried, recorded.before), recorded,
                acknowledged);
  }
  return tried;
}

}  // namespace

TEST_CASE("a power cut between any two writes costs nothing that was acknowledged",
          "[store][synthetic]") {
  CHECK(cut_power(12, 211) > 30);
}

TEST_CASE("nor does one in two hundred places", "[store][synthetic][long]") {
  CHECK(cut_power(4, 31) > 200);
}

TEST_CASE("a torn end of the log costs at most what was not acknowledged", "[store][synthetic]") {
  const TemporaryFolder folder;
  Recorded recorded;
  recorded.path = folder.path("b.qnbook");
  Book book = new_book(recorded.path);
  must(book.start_recording(sample_recording()));
  must(book.start_run({"disturbance", RecordingId{1}, "2026-05-14T08:00:00Z", "{}"}));
  for (std::size_t n = 0; n < 3; ++n) {
    must(book.append(RecordingId{1}, heavy_second(n)));
    must(book.append_event(RunId{1}, sample_event(n)));
  }
  const std::string log = recorded.path + "-wal";
  const std::size_t safe = bytes_in(log).size();
  must(book.append(RecordingId{1}, heavy_second(3)));
  const std::string whole = bytes_in(log);
  const std::map<std::string, std::string> kept{{recorded.path, bytes_in(recorded.path)}};
  REQUIRE(whole.size() > safe + 100000);
  for (std::size_t i = 0; i < 40; ++i) {
    const std::size_t at = safe + i * (whole.size() - safe) / 40;
    INFO("torn at byte " << at << " of " << whole.size());
    auto cut_short = kept;
    cut_short[log] = whole.substr(0, at);
    check_after(cut_short, recorded, 3);
    auto overwritten = kept;
    overwritten[log] = whole;
    overwritten[log][at] = static_cast<char>(whole[at] ^ 0x40);
    check_after(overwritten, recorded, 3);
  }
}

TEST_CASE("a page torn while the log was folded in is mended from the log", "[store][synthetic]") {
  const TemporaryFolder folder;
  const Recorded recorded = record(folder, 30);
  std::map<std::string, std::string> files =
      after_power_cut(recorded.log, recorded.log.size(), 1, recorded.before);
  // The log holds pages that the book's file has in an older form, or not at all: whatever a
  // half-done writing of them leaves there must not matter.
  std::string& book = files[recorded.path];
  book.resize(book.size() + 3 * 4096 + 700, '\x5a');
  check_after(files, recorded, 30);
}
