// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "store/book.h"
#include "support/temporary_folder.h"

// An invented aircraft's book, for tests of what keeps or shows one.
namespace qn::test {

/// The value, or a failed test that says why there is none.
template <class T>
T must(Result<T> result) {
  if (!result) FAIL(to_text(result.error()));
  return std::move(result).value();
}

inline std::string bytes_in(const std::string& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

inline Book new_book(const std::string& path) {
  return must(Book::create(path, {"Brindle", "2026-05-14T08:00:00Z", "invented"}));
}

/// Second `number` of a recording with a sensor at about 400 bytes a second and a slower display.
inline Stretch second_of_bytes(std::size_t number) {
  Stretch stretch;
  stretch.from_s = static_cast<double>(number);
  stretch.until_s = stretch.from_s + 1.0;
  LinkBytes sensor;
  for (std::uint32_t i = 0; i < 20; ++i) {
    const std::string line =
        "$HCHDG," + std::to_string(number % 360) + "." + std::to_string(i) + ",,,,*00\r\n";
    sensor.bytes += line;
    sensor.pieces.push_back(
        {static_cast<std::uint32_t>(line.size()), stretch.from_s + 0.05 * (i + 0.1)});
  }
  stretch.links.push_back(sensor);
  if (number % 3 == 0) {  // bytes that are no text, and a link that is silent most of the time
    stretch.links.push_back({1, std::string("\0\xff\r\n", 4), {{4, stretch.from_s + 0.7}}});
  }
  return stretch;
}

inline NewRecording sample_recording() {
  return {"right wing",
          "2026-05-14T08:10:00Z",
          std::nullopt,
          "after the new radio",
          {{"sensor", "serial by-id/invented", std::nullopt},
           {"display heading", "typed in", std::nullopt}}};
}

inline RunEvent sample_event(std::size_t number) {
  return {0.5 + static_cast<double>(number), "tap",
          R"({"answer":"now","step":)" + std::to_string(number) + "}",
          "key-" + std::to_string(number)};
}

inline NewFinding sample_finding() {
  NewFinding finding;
  finding.made_utc = "2026-05-14T09:00:00Z";
  finding.command = "disturb analyse";
  finding.program_version = "0.1.0";
  finding.verdict = "unproven";
  finding.sentence = "The landing light turns the heading by up to 2.9\u00b0, near 148.";
  finding.options = R"({"limit_deg":1})";
  finding.configuration = R"({"canopy":"closed","gear":"down"})";
  finding.result = "{\"schema\":\"quietnorth/disturbance/1\",\n \"sentence\":\"...\"}\n";
  finding.inputs = {{"log", "log.csv", "", "time_s,field_x_uT\n0,1\n"},
                    {"marks", "marks.csv", "", "time_s,device,state\n"},
                    {"log 2", "again.csv", "", "time_s,field_x_uT\n0,1\n"},
                    {"video", "large.mp4", std::string(64, 'c'), std::nullopt}};
  return finding;
}

inline std::vector<Device> sample_equipment() {
  Device light;
  light.name = "Landing light, \"left\"";
  light.current_A = 7.1;
  light.max_on_s = 180.0;
  light.phases = {"night", "landing"};
  light.caution = "Do not look into it;\nit is hot";
  Device gear;
  gear.name = "Gear";
  gear.kind = DeviceKind::moving;
  gear.states = {"down", "up"};
  gear.transit_s = 9.0;
  gear.with = light.name;
  gear.optional = true;
  return {light, gear};
}

/// One of everything that a book can hold.
inline void fill_sample(Book& book) {
  must(book.set_equipment(sample_equipment()));
  const auto sensor =
      must(book.put_sensor({{}, "wing", "uT", "x=-y,y=x,z=z", "up", "screws of brass"}));
  const auto site =
      must(book.put_site({{}, "run-up bay", 49.3, 10.2, std::nullopt, 20.0, 45.0, ""}));
  NewRecording head = sample_recording();
  head.site = site;
  head.links[0].sensor = sensor;
  const auto recording = must(book.start_recording(head));
  for (std::size_t n = 0; n < 5; ++n) must(book.append(recording, second_of_bytes(n)));
  must(book.end_recording(recording, 5.25));
  must(book.start_recording({"empty", "2026-05-14T10:00:00Z", std::nullopt, "", {}}));
  must(book.add_mark(recording, {1.5, "Gear", "up", 0}));
  must(book.add_mark(recording, {3.5, "*", "0", 0}));
  must(book.add_decoding({{},
                          recording,
                          0,
                          "nmea",
                          "1",
                          "{}",
                          "2026-05-14T08:20:00Z",
                          R"({"accepted":100})",
                          "time_s,heading_deg\n0,1\n"}));
  must(book.add_decoding({{},
                          recording,
                          1,
                          "lines",
                          "1",
                          R"({"map":[]})",
                          "2026-05-14T08:21:00Z",
                          "{}",
                          std::nullopt}));
  const auto run = must(book.start_run({"disturbance", recording, "2026-05-14T08:10:01Z", "{}"}));
  for (std::size_t n = 0; n < 3; ++n) must(book.append_event(run, sample_event(n)));
  must(book.append_event(run, {9.0, "prompt", "{}", ""}));
  must(book.append_event(run, {9.0, "prompt", "{}", ""}));
  must(book.end_run(run, 10.0));
  NewFinding finding = sample_finding();
  finding.recording = recording;
  finding.run = run;
  must(book.add_finding(finding));
  must(book.add_finding(sample_finding()));
}

/// Every fault as one text, empty for a sound book.
inline std::string faults_of(const Book& book) {
  std::string text;
  for (const BookFault& fault : must(book.check())) text += fault.where + ": " + fault.what + "\n";
  return text;
}

}  // namespace qn::test
