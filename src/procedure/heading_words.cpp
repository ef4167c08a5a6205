// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "procedure/heading_words_internal.h"

namespace qn::heading_only {
namespace {

constexpr const char* kTurn =
    "Turn the aircraft by about 90 degrees, work the same list again, and analyse both logs "
    "together: --also LOG2 MARKS2.";
constexpr const char* kShowResponse =
    "Show how the display follows: hold a steel tool by the sensor so that the heading turns by "
    "ten "
    "degrees or more, a minute there and a minute away, three times, marked as a device of its own "
    "(off, on). Or give --heading-source magnetic when no gyro is blended in.";
constexpr const char* kShowAlive =
    "Hold a steel tool by the sensor for a moment at the start of the log, so that the display is "
    "seen to follow, and record again.";

// Why nothing is to be said of a state, and what would settle it.
struct Doubt {
  std::string because, do_next;
};

bool all_alive(const HeadingOnly& headings) {
  return std::all_of(headings.logs.begin(), headings.logs.end(),
                     [](const DisplayLog& log) { return log.alive; });
}

// How far from a line the headings lie: 1 for a right angle.
double widest_sine(const HeadingOnly& headings, const std::vector<std::size_t>& logs) {
  double out = 0.0;
  for (const std::size_t a : logs) {
    for (const std::size_t b : logs) {
      const Angle apart = headings.logs[a].aircraft_heading - headings.logs[b].aircraft_heading;
      out = std::max(out, std::abs(std::sin(apart.in_rad())));
    }
  }
  return out;
}

std::string seen_words(const SeenState& seen, const HeadingOnly& headings) {
  const double turned = Angle::radians(std::abs(seen.turned_rad)).in_deg();
  const double reach = 1.96 * Angle::radians(seen.sigma_rad).in_deg();
  return fmt::format("on heading {} it turned the display by {:.1f}° (95 % band {:.1f} to {:.1f}°)",
                     heading_words(headings.logs[seen.logs.front()].aircraft_heading), turned,
                     std::max(0.0, turned - reach), turned + reach);
}

std::optional<Doubt> doubt_about(const SeenState& seen, const HeadingOnly& headings) {
  if (!all_alive(headings)) {
    return Doubt{"a display that never changed may not have been live", kShowAlive};
  }
  if (!headings.response) {
    return Doubt{
        "how the display follows a step could not be seen: the size may be larger than shown",
        kShowResponse};
  }
  if (seen.across_unseen && seen.logs.size() == 1) {
    return Doubt{
        seen_words(seen, headings) + "; what it does on others a single heading cannot show",
        kTurn};
  }
  if (seen.across_unseen) {
    return Doubt{seen_words(seen, headings) +
                     "; the other heading lies in line with it and shows the same part",
                 kTurn};
  }
  return std::nullopt;
}

void open_band(FieldHeadingError& heading) {
  const Band95 any{Angle::degrees(0.0), Angle::degrees(180.0)};
  heading.worst_95 = any;
  heading.worst_tilted_95 = any;
  for (Band95& band : heading.curve_95) band = {Angle::degrees(-180.0), Angle::degrees(180.0)};
}

const SeenState* find(const std::vector<SeenState>& seen, const std::string& device,
                      const std::string& state) {
  for (const SeenState& s : seen) {
    if (s.device == device && s.state == state) return &s;
  }
  return nullptr;
}

bool doubtful(const std::vector<SeenState>& seen, const HeadingOnly& headings,
              const std::string& device) {
  return std::any_of(seen.begin(), seen.end(), [&](const SeenState& s) {
    return s.device == device && doubt_about(s, headings);
  });
}

// Undecided only for want of a better angle or a finer display: more repeats would not help.
std::string better_next(const SeenState& seen, const HeadingOnly& headings,
                        const std::string& before) {
  if (seen.contested) return "Work it again, two times: its repeats do not agree.";
  const double sine = widest_sine(headings, seen.logs);
  if (sine < 0.5) {
    return fmt::format(
        "The headings are only {:.0f}° away from a line: record one more about 90 degrees from the "
        "first and give it with --also.",
        Angle::radians(std::asin(sine)).in_deg());
  }
  if (seen.rounding_share > 0.5) {
    return fmt::format(
        "The display shows steps of {:g}°, and longer runs do not help: log a finer heading, or "
        "the "
        "sensor's field.",
        headings.logs[seen.logs.front()].step.in_deg());
  }
  // A display's roll and pitch are of no use here: what it makes of a tilt nobody knows.
  if (before.find("roll and pitch") != std::string::npos) {
    return "Give --rigid if the airframe cannot have moved, or log the sensor's field with roll "
           "and "
           "pitch.";
  }
  return "";
}

void doubt_states(const std::vector<SeenState>& seen, DisturbanceRun& run) {
  const HeadingOnly& headings = *run.heading_only;
  for (DeviceEffect& device : run.devices) {
    bool any = false;
    for (StateEffect& state : device.states) {
      const SeenState* s = find(seen, device.name, state.state);
      if (s == nullptr) continue;
      if (const auto doubt = doubt_about(*s, headings)) {
        any = true;
        open_band(state.heading);
        state.unproven = true;
        state.no_effect_seen = false;
        state.verdict.state = VerdictState::unproven;
        state.verdict.because = doubt->because;
        state.verdict.do_next = doubt->do_next;
        continue;
      }
      if (s->contested) {
        state.unproven = true;
        state.verdict.state = VerdictState::unproven;
      }
      if (state.verdict.state != VerdictState::unproven) continue;
      const std::string next = better_next(*s, headings, state.verdict.do_next);
      if (!next.empty()) state.verdict.do_next = next;
    }
    if (!any) continue;
    std::erase_if(device.remarks,
                  [](const std::string& text) { return text.rfind("No effect seen", 0) == 0; });
    device.per_ampere.reset();
  }
}

void doubt_combinations(const std::vector<SeenState>& seen, DisturbanceRun& run) {
  bool any = false;
  for (CombinationEffect& sum : run.combinations) {
    const auto unsure = std::find_if(
        sum.devices.begin(), sum.devices.end(),
        [&](const std::string& device) { return doubtful(seen, *run.heading_only, device); });
    if (unsure == sum.devices.end()) continue;
    any = true;
    open_band(sum.heading);
    sum.worst_subset_95 = sum.heading.worst_95;
    sum.best_cure.reset();
    sum.cure_order.clear();
    sum.verdict.state = VerdictState::unproven;
    sum.verdict.because =
        "a sum is no better known than its parts, and one of them is the " + *unsure;
    for (const SeenState& s : seen) {
      const auto doubt = doubt_about(s, *run.heading_only);
      if (s.device == *unsure && doubt) sum.verdict.do_next = doubt->do_next;
    }
  }
  if (!any) return;
  run.cure_order.clear();
  run.all_on.reset();
}

void say_in_one_sentence(const std::vector<SeenState>& seen, DisturbanceRun& run) {
  const HeadingOnly& headings = *run.heading_only;
  const auto say = [&run](std::string sentence, std::string because, std::string next) {
    run.sentence = std::move(sentence);
    run.verdict.state = VerdictState::unproven;
    run.verdict.because = std::move(because);
    run.verdict.do_next = std::move(next);
  };
  const bool none_across =
      std::all_of(seen.begin(), seen.end(), [](const SeenState& s) { return s.across_unseen; });
  if (!all_alive(headings)) {
    say("Nothing is decided: the display showed one and the same heading throughout.",
        "a display that never changed may not have been live", kShowAlive);
  } else if (!headings.response) {
    say("Nothing is decided: whether the display follows a step at once, slowly or not for long "
        "could not be seen in this run.",
        "no two steps are strong enough to show their shape, or a gyro hides it", kShowResponse);
  } else if (none_across) {
    say("Nothing is decided yet: a display on one heading shows only half of what each device "
        "does.",
        headings.logs.size() > 1
            ? "the headings lie in line, or too near to it"
            : fmt::format("one heading, {}, and a device may do more on others",
                          heading_words(headings.logs.front().aircraft_heading)),
        kTurn);
  }
}

std::string response_words(const DisplayResponse& response) {
  switch (response.kind) {
    case DisplayResponse::Kind::lag:
      return fmt::format("comes slowly, to two thirds in {:.1f} s", response.time_constant_s);
    case DisplayResponse::Kind::fade:
      return fmt::format("shows at once and fades, to a third in {:.0f} s",
                         response.time_constant_s);
    case DisplayResponse::Kind::sharp: break;
  }
  return "shows at once and stays";
}

}  // namespace

bool in_line(const HeadingOnly& headings, const std::vector<std::size_t>& logs) {
  return widest_sine(headings, logs) < std::sin(Angle::degrees(10.0).in_rad());
}

std::string heading_words(Angle heading) {
  return fmt::format("{:03.0f}", std::fmod(std::round(heading.in_deg()) + 360.0, 360.0));
}

void doubt_what_was_not_seen(const std::vector<SeenState>& seen, DisturbanceRun& run) {
  doubt_states(seen, run);
  doubt_combinations(seen, run);
  say_in_one_sentence(seen, run);
}

void tell_of_displays(const DisturbanceOptions& options, DisturbanceRun& run) {
  const HeadingOnly& headings = *run.heading_only;
  // Those odds are for three axes; one number's repeats are read otherwise.
  std::erase_if(run.assumptions, [](const std::string& text) {
    return text.rfind("Repeats are read with these odds", 0) == 0;
  });
  run.assumptions.emplace_back(
      "A repeat of a display is set aside when the others, at least two, agree and it lies 5 sigma "
      "off.");
  for (std::size_t k = 0; k < headings.logs.size(); ++k) {
    const DisplayLog& log = headings.logs[k];
    const std::string name = headings.logs.size() > 1 ? fmt::format("Log {}: t", k + 1) : "T";
    run.remarks.push_back(
        fmt::format("{}he display showed {:05.1f}° at rest, {}.", name, log.shown_at_rest.in_deg(),
                    log.step.in_deg() > 0.0 ? fmt::format("in steps of {:g}°", log.step.in_deg())
                                            : "in steps too fine to see"));
    run.assumptions.push_back(
        log.heading_from_display
            ? fmt::format("{}he aircraft stood on {}: what its display showed at rest, taken as "
                          "magnetic, known to 3° (1 sigma); --aircraft-heading says it better.",
                          name, heading_words(log.aircraft_heading))
            : fmt::format("{}he aircraft stood on {}, as given, known to 1° (1 sigma).", name,
                          heading_words(log.aircraft_heading)));
  }
  if (headings.source == HeadingSource::magnetic) {
    run.assumptions.emplace_back(
        "The display follows the sensor at once, no gyro blended in: as you said.");
  } else if (headings.response) {
    run.remarks.push_back(fmt::format("Strong steps tell how the display follows: a step {}.",
                                      response_words(*headings.response)));
  }
  run.assumptions.push_back(fmt::format(
      "A display shows nothing of the vertical part of a field: it stands as 0 with a sigma of "
      "{:g} µT, and the worst in bank and pitch is open.",
      kUnseen_uT));
  const bool tilt = std::any_of(run.devices.begin(), run.devices.end(), [](const DeviceEffect& d) {
    return d.kind == DeviceKind::moving || d.kind == DeviceKind::engine;
  });
  if (tilt && !options.rigid) {
    run.assumptions.push_back(
        fmt::format("A tilted airframe turns a display by up to the tilt times {:.1f}, the field's "
                    "downward part "
                    "over its part along the ground.",
                    options.earth.down_uT / options.earth.horizontal_uT));
  }
}

}  // namespace qn::heading_only
