// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "acquire/unit_guess.h"
#include "app/link_report.h"

namespace qn {
namespace {

using Words = std::vector<std::string>;

// When a person should be told. Judgement, not measurement: early enough to save the run, late
// enough not to cry at every start.
constexpr double kSilent_s = 3.0;
constexpr double kStuck_s = 10.0;
constexpr double kNoiseShare = 0.1;   // control characters among the bytes of a wrong speed
constexpr double kLargeShare = 0.02;  // of lines that are no use
constexpr double kEarthSpare = 0.25;  // of F: what an airframe's iron adds without being wrong

bool starts_with(const std::string& text, const char* start) { return text.rfind(start, 0) == 0; }

double share(std::uint64_t part, std::uint64_t whole) {
  return whole == 0 ? 0.0 : static_cast<double>(part) / static_cast<double>(whole);
}

void say_silence(const LinkReceiver& r, double now_s, Words& words) {
  const std::string& address = r.description().address;
  if (r.ended()) return;
  if (!r.connected()) {
    if (r.times_lost() > 0) {
      words.push_back(
          fmt::format("The link has been gone for {:.0f} s. It is opened again by itself as soon "
                      "as it is back: "
                      "look at the plug.",
                      now_s - r.lost_s()));
    } else {
      words.push_back("The link is not open yet; it is tried again and again.");
    }
    return;
  }
  const double silent_s = now_s - r.last_bytes_s();
  if (silent_s < kSilent_s || r.description().decoder.kind == DecoderKind::typed) return;
  const bool local = starts_with(address, "udp:") && !starts_with(address, "udp:any");
  words.push_back(fmt::format(
      "Nothing has come for {:.0f} s. {}", silent_s,
      local ? "This port hears this computer only: for a sender on the network use udp:any:PORT."
            : "Is the sensor powered, and the plug in?"));
}

void say_bytes(const LinkReceiver& r, Words& words) {
  const DecoderTally& t = r.tally();
  const bool serial = r.description().joins_midway && !starts_with(r.description().address, "tcp:");
  const bool noise = t.bytes > 100 && share(t.noise_bytes, t.bytes) > kNoiseShare;
  const bool garbled = t.lines > 20 && t.readings == 0 && share(t.not_understood, t.lines) > 0.9;
  if (noise || (garbled && serial)) {
    words.push_back(serial
                        ? "What comes is not text: the sensor speaks at another speed than the one "
                          "after the '@', or in a binary language."
                        : "What comes is not text: the sensor speaks in a binary language.");
  } else if (r.unfinished_bytes() > 1000 || (t.too_long > 0 && t.lines < 2 * t.too_long)) {
    words.push_back(fmt::format(
        "No line ends come, as they should after every reading; {} bytes so far.", t.bytes));
  }
  if (t.too_long > 0) {
    words.push_back(fmt::format("{} lines were longer than {} bytes and were thrown away.",
                                t.too_long, kLongestLiveLine));
  }
}

void say_lines(const LinkReceiver& r, Words& words) {
  const DecoderTally& t = r.tally();
  if (t.unnamed_lines > 0 && t.readings == 0) {
    words.push_back(fmt::format(
        "Numbers come, but nothing says what they are: {}. Say it with --columns, for example "
        "--columns time_s,field_x_uT,field_y_uT,field_z_uT ('-' leaves a column out).",
        t.unnamed_example));
  }
  if (t.bad_checksum > 0) {
    words.push_back(
        fmt::format("{} of {} lines came with a wrong checksum and were thrown away: a loose or "
                    "long cable, two "
                    "talkers on one wire, or a wrong speed.",
                    t.bad_checksum, t.lines));
  }
  if (t.no_checksum > 0) {
    words.push_back(
        fmt::format("No checksum in {} sentences: a damaged one cannot be told from a good one.",
                    t.no_checksum));
  }
  if (t.half_lines > 3 && share(t.half_lines, t.lines) > kLargeShare) {
    words.push_back(fmt::format("{} of {} lines were halves and were thrown away, such as {}.",
                                t.half_lines, t.lines, t.bad_example));
  }
  if (t.readings > 0 && t.not_understood > 3 && share(t.not_understood, t.lines) > kLargeShare) {
    words.push_back(fmt::format("{} of {} lines make no sense, such as {}.", t.not_understood,
                                t.lines, t.bad_example));
  }
  if (t.missing_cells > 0) {
    words.push_back(fmt::format("{} values were empty or NaN and were left out.", t.missing_cells));
  }
  if (t.impossible_cells > 0) {
    words.push_back(
        fmt::format("{} values were too large to be meant and were left out.", t.impossible_cells));
  }
}

/// "HCHDG" and "IIHDG" say the same thing from two devices.
bool two_talkers(const DecoderTally& t, std::string& both) {
  for (auto a = t.sources.begin(); a != t.sources.end(); ++a) {
    for (auto b = std::next(a); b != t.sources.end(); ++b) {
      if (a->first.size() < 5 || b->first.size() < 5 || a->second < 5 || b->second < 5) continue;
      if (a->first.substr(a->first.size() - 3) != b->first.substr(b->first.size() - 3)) continue;
      both = a->first + " and " + b->first;
      return true;
    }
  }
  return false;
}

void say_two_sensors(const LinkReceiver& r, Words& words) {
  const DecoderTally& t = r.tally();
  std::string both;
  if (two_talkers(t, both)) {
    words.push_back(fmt::format("Two sensors speak on this link: {}.", both));
  }
  std::size_t usual_widths = 0;
  std::uint64_t wide_lines = 0;
  for (const auto& width : t.widths) wide_lines += width.second;
  for (const auto& width : t.widths) {
    usual_widths += width.second > 10 && share(width.second, wide_lines) > 0.2 ? 1 : 0;
  }
  if (usual_widths > 1) {
    words.push_back("Two sensors seem to speak on this link: lines of two lengths take turns.");
  }
  for (const auto& [name, health] : r.sources()) {
    if (!health.takes_turns()) continue;
    words.push_back(fmt::format(
        "Two sensors seem to speak on this link: the values of '{}' jump to and fro at every "
        "reading.",
        name));
  }
}

void say_clock(const std::string& name, const SourceClock& clock, std::uint64_t readings,
               Words& words) {
  constexpr double kWrongUnit = 0.2;
  constexpr std::uint64_t kEnough = 10;
  if (clock.went_back > 0) {
    words.push_back(fmt::format(
        "The clock of '{}' went back {} times: the sensor restarts, or two speak on this link.",
        name, clock.went_back));
  }
  if (clock.fit && clock.fit->span_s > 0.0 && std::fabs(clock.fit->drift) > kWrongUnit) {
    const double times = 1.0 / (1.0 + clock.fit->drift);
    words.push_back(fmt::format(
        "The clock of '{}' runs {:.3g} times as fast as the computer's: is its time called by the "
        "wrong unit (time_s, time_ms)?",
        name, times));
  } else if (clock.jumped >= kEnough && clock.jumped > readings / 2) {
    words.push_back(fmt::format(
        "The clock of '{}' leaps ahead at every reading: is its time called by the wrong unit "
        "(time_s, time_ms)?",
        name));
  } else if (clock.jumped > 0) {
    words.push_back(fmt::format("The clock of '{}' leapt ahead {} times.", name, clock.jumped));
  }
}

void say_strength(const SourceHealth& health, const std::optional<LocalField>& earth,
                  Words& words) {
  if (!health.has_field() || health.field_unit() == FieldUnit::counts) return;
  const double strength = health.total().median();
  const double expected = earth ? earth->total_uT() : 0.0;
  const double lo = earth ? expected * (1.0 - kEarthSpare) : kWeakestField_uT;
  const double hi = earth ? expected * (1.0 + kEarthSpare) : kStrongestField_uT;
  if (strength >= lo && strength <= hi) return;
  const std::string here = earth ? fmt::format("the Earth's field here is {:.1f} uT", expected)
                                 : std::string{"the Earth's field is 22 to 67 uT anywhere"};
  if (const auto guess = guess_field_unit(strength, lo, hi)) {
    words.push_back(
        fmt::format("The values look like {}: their strength is {:.4g} where {}. Call the columns "
                    "field_x_{} and so on.",
                    guess->words, strength, here, guess->column));
  } else {
    words.push_back(
        fmt::format("The field is {:.4g} uT strong where {}: iron or a magnet is near, the sensor "
                    "needs its fit, "
                    "or the unit is another.",
                    strength, here));
  }
}

void say_source(const std::string& name, const SourceHealth& health, Words& words) {
  if (const double stuck_s = health.field_stuck_s(); stuck_s >= kStuck_s) {
    words.push_back(fmt::format(
        "The same value for {:.0f} s on all three axes of '{}': a sensor that lives is never so "
        "quiet. Switch its power off and on.",
        stuck_s, name));
  }
  if (health.gaps() == 1) {
    words.push_back(fmt::format("One pause in '{}', of {:.1f} s.", name, health.longest_gap_s()));
  } else if (health.gaps() > 1) {
    words.push_back(fmt::format("{} pauses in '{}', the longest {:.1f} s.", health.gaps(), name,
                                health.longest_gap_s()));
  }
}

}  // namespace

std::vector<std::string> what_is_wrong(const LinkReceiver& receiver, double now_s,
                                       const std::optional<LocalField>& earth) {
  Words words;
  say_silence(receiver, now_s, words);
  for (const std::string& remark : receiver.remarks()) {
    words.push_back(fmt::format("Said by the link: {}.", remark));
  }
  say_bytes(receiver, words);
  say_two_sensors(receiver, words);
  say_lines(receiver, words);
  for (const auto& [name, health] : receiver.sources()) {
    say_clock(name, receiver.timer().clock_of(name), health.readings(), words);
    say_strength(health, earth, words);
    say_source(name, health, words);
  }
  if (receiver.connected() && receiver.times_lost() > 0) {
    words.push_back(fmt::format("The link was lost {} times, and is back.", receiver.times_lost()));
  }
  return words;
}

}  // namespace qn
