// SPDX-License-Identifier: Apache-2.0
#include "cli/book_text.h"

#include <fmt/format.h>

#include <cmath>

#include "cli/folded_text.h"
#include "vocab/count_of.h"

namespace qn {
namespace {

std::string size_words(std::size_t bytes) {
  if (bytes < 10000) return fmt::format("{} bytes", bytes);
  if (bytes < 10000000) return fmt::format("{} kB", bytes / 1000);
  return fmt::format("{} MB", bytes / 1000000);
}

std::string how_it_ended(const RecordingRecord& r) {
  if (r.ended_s) return fmt::format("ended at {:.1f} s", *r.ended_s);
  if (!r.complete_until_s) return "nothing acknowledged yet";
  return fmt::format("not ended; the last complete second is {:.0f}",
                     std::floor(*r.complete_until_s));
}

std::string lines_of(const BookSummary& book) {
  std::string text;
  for (const SensorRecord& s : book.sensors) {
    text += folded(fmt::format("sensor     {}: {}{}{}", s.name, s.unit,
                               s.mounting.empty() ? ", mounting not known" : ", " + s.mounting,
                               s.note.empty() ? "" : "; " + s.note)) +
            "\n";
  }
  for (const SiteRecord& s : book.sites) {
    std::string where;
    if (s.latitude_deg && s.longitude_deg) {
      where = fmt::format(" {}, {}", *s.latitude_deg, *s.longitude_deg);
    }
    if (s.horizontal_uT && s.vertical_uT) {
      where += fmt::format(" H {} uT, Z {} uT", *s.horizontal_uT, *s.vertical_uT);
    }
    text += folded(fmt::format("site       {}:{}", s.name, where)) + "\n";
  }
  for (const RecordingRecord& r : book.recordings) {
    text += folded(fmt::format("recording  {} '{}', {}, {}, {}, {}",
                               static_cast<std::int64_t>(r.id), r.head.name, r.head.started_utc,
                               count_of(r.head.links.size(), "link", "links"), size_words(r.bytes),
                               how_it_ended(r))) +
            "\n";
  }
  for (const RunRecord& r : book.runs) {
    text +=
        folded(fmt::format(
            "run        {} {}, {}, {}, {}", static_cast<std::int64_t>(r.id), r.head.procedure,
            r.head.started_utc, count_of(r.events, "event", "events"),
            r.ended_s ? fmt::format("ended at {:.1f} s", *r.ended_s) : std::string{"can go on"})) +
        "\n";
  }
  return text;
}

}  // namespace

std::string book_text(const BookSummary& book) {
  std::string text = folded(fmt::format("{}: {}, {}, {}, {}.", book.head.aircraft,
                                        count_of(book.equipment.size(), "device", "devices"),
                                        count_of(book.recordings.size(), "recording", "recordings"),
                                        count_of(book.runs.size(), "run", "runs"),
                                        count_of(book.findings.size(), "finding", "findings")));
  text += "\n";
  if (!book.head.note.empty()) text += folded(book.head.note) + "\n";
  if (const std::string lines = lines_of(book); !lines.empty()) text += "\n" + lines;
  for (const FindingRecord& r : book.findings) {
    text += "\n" +
            folded(fmt::format("finding {} of {}, {}: {}", static_cast<std::int64_t>(r.id),
                               r.finding.made_utc, r.finding.command, r.finding.verdict)) +
            "\n" + folded(r.finding.sentence) + "\n";
  }
  for (const std::string& remark : book.remarks) text += "\n" + folded(remark) + "\n";
  return text;
}

std::string book_check_text(const BookCheck& check) {
  std::string text;
  if (check.faults.empty()) {
    text = folded(fmt::format("{} is sound: the file, every raw byte, every kept file and every "
                              "finding is the one that was kept.",
                              check.name)) +
           "\n";
  } else {
    text = folded(fmt::format("{} is damaged in {}.", check.name,
                              count_of(check.faults.size(), "place", "places"))) +
           "\n\n";
    for (const BookFault& fault : check.faults) {
      text += folded(fault.where + ": " + fault.what) + "\n";
    }
    text += "\n" +
            folded(
                "Do not write to it any more. Keep the file as it is, and go on with your last "
                "copy or export; what is not named here can still be read.") +
            "\n";
  }
  for (const std::string& remark : check.remarks) text += "\n" + folded(remark) + "\n";
  return text;
}

}  // namespace qn
