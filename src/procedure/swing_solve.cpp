// SPDX-License-Identifier: Apache-2.0
#include "procedure/swing_solve.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "procedure/swing_compass_internal.h"
#include "procedure/swing_group_internal.h"
#include "procedure/swing_mark_error_internal.h"
#include "vocab/heading.h"
#include "vocab/letters.h"

namespace qn {
namespace {

constexpr std::size_t kFewest = 3;

std::optional<Error> check(const char* option, const std::optional<double>& value, double least,
                           double most) {
  if (!value || (*value > least && *value <= most)) return std::nullopt;
  return Error{ErrorKind::OutOfRange, fmt::format("{:g} cannot be used for {}", *value, option),
               fmt::format("option {}", option),
               fmt::format("degrees, more than {:g} and at most {:g}", std::max(least, 0.0), most),
               "leave the option out to use a careful assumption, which is printed"};
}

std::vector<std::vector<SwingReading>> by_compass(const std::vector<SwingReading>& readings) {
  std::vector<std::vector<SwingReading>> out;
  for (const SwingReading& reading : readings) {
    const auto same = std::find_if(out.begin(), out.end(), [&](const auto& group) {
      return group.front().compass == reading.compass && group.front().loads == reading.loads;
    });
    if (same == out.end()) {
      out.push_back({reading});
    } else {
      same->push_back(reading);
    }
  }
  return out;
}

/// Whether there is something to fit; if not, the compass says why.
bool can_be_solved(SwingCompass& compass, const std::vector<SwingReading>& readings) {
  std::set<double> distinct;
  for (const SwingReading& r : readings) distinct.insert(r.station_deg);
  if (distinct.size() < kFewest) {
    compass.verdict.because =
        fmt::format("{} heading{} read; A, B and C alone take three", distinct.size(),
                    distinct.size() == 1 ? " was" : "s were");
    compass.verdict.do_next = "read this compass on eight headings around the circle";
    return false;
  }
  if (const auto turned_deg = swing_turned_in_vain_deg(readings)) {
    compass.verdict.because = fmt::format(
        "the aircraft turned by {:.0f} deg and this compass showed {:.0f} throughout: it does not "
        "move",
        *turned_deg, wrap_360_deg(readings.front().indicated_deg));
    compass.verdict.do_next =
        "free the compass (caging, an empty or frozen bowl, a display that holds), then swing "
        "again";
    return false;
  }
  return true;
}

SwingCompass compass_of(const std::vector<SwingReading>& readings) {
  SwingCompass out;
  out.name = readings.front().compass;
  out.loads = readings.front().loads;
  for (const SwingReading& r : readings) {
    out.rows.push_back(r.row);
    out.observed.push_back({r.station_deg, r.indicated_deg,
                            wrap_180_deg(r.station_deg - r.indicated_deg), r.turn, true});
  }
  return out;
}

void fill_compass(SwingCompass& out, const CompassFit& fit,
                  const std::vector<SwingReading>& readings, const SwingSettings& settings,
                  const SwingOptions& options) {
  fill_bands(out, fit, settings);
  fill_gross(out, fit, readings);
  for (const DoubtfulReading& wrong : out.gross) {
    for (std::size_t i = 0; i < out.rows.size(); ++i) {
      if (out.rows[i] == wrong.row) out.observed[i].used = false;
    }
  }
  out.by_means = swing_by_means(out.observed);
  add_mark_errors(out, fit, readings);
  out.reading_sigma_deg = fit.prior.reading_sigma_deg;
  out.reading_sigma_is_own = fit.own_sigma_deg.has_value();
  fill_words(out, fit, readings, options);
  if (fit.own_sigma_deg) {
    out.remarks.push_back(
        fmt::format("Its readings tell their own scatter, {:.2f} deg (1 sigma): {:.2f} deg is used "
                    "for them, and "
                    "no rounding{}.",
                    *fit.own_sigma_deg, out.reading_sigma_deg,
                    out.reading_sigma_deg > *fit.own_sigma_deg
                        ? "; a mean hides slow errors, so that it is not believed further down"
                        : ""));
  }
  out.story = adjuster_story(out);
}

/// Compasses under one state of the loads stood beside the mark together; another state is
/// another round.
std::vector<SwingCompass> solve_compasses(const std::vector<std::vector<SwingReading>>& groups,
                                          const SwingOptions& options) {
  const SwingSettings settings = settings_of(options);
  std::vector<SwingCompass> out;
  std::map<std::string, std::vector<std::size_t>> by_loads;
  for (std::size_t k = 0; k < groups.size(); ++k) {
    out.push_back(compass_of(groups[k]));
    if (can_be_solved(out.back(), groups[k])) by_loads[out.back().loads].push_back(k);
  }
  for (const auto& [loads, members] : by_loads) {
    std::vector<std::vector<SwingReading>> together;
    for (const std::size_t k : members) together.push_back(groups[k]);
    const std::vector<CompassFit> fits = fit_group(together, settings);
    for (std::size_t m = 0; m < members.size(); ++m) {
      fill_compass(out[members[m]], fits[m], together[m], settings, options);
    }
  }
  return out;
}

std::string assumed(const char* what, const std::optional<double>& given, double used) {
  return fmt::format("{}: {:.3g} deg{}.", what, used, given ? ", as given" : ", assumed");
}

std::string sentence_of(const std::vector<SwingCompass>& compasses) {
  std::string out;
  for (const SwingCompass& c : compasses) {
    if (!out.empty()) out += "\n";
    out += fmt::format("{}{}: {}; {}.", c.name, c.loads.empty() ? "" : ", loads " + c.loads,
                       to_word(c.verdict.state), c.verdict.because);
  }
  return out;
}

}  // namespace

std::vector<std::string> swing_assumptions(const SwingOptions& options) {
  const SwingSettings s = settings_of(options);
  std::vector<std::string> out;
  out.push_back(assumed("Readings are rounded to", options.rounding_deg, s.prior.rounding_deg));
  out.push_back(assumed("Reading, 1 sigma beside the rounding, where it does not tell its own",
                        options.reading_sigma_deg, s.prior.reading_sigma_deg));
  out.push_back(assumed("Aircraft beside its mark, 1 sigma, the same for all compasses",
                        options.station_sigma_deg, s.prior.station_sigma_deg));
  out.push_back(assumed("North of the rose, 1 sigma, in every A", options.north_sigma_deg,
                        s.north_sigma_deg));
  out.push_back(assumed("Difference between turns when one was made, 1 sigma",
                        options.hysteresis_sigma_deg, s.hysteresis_sigma_deg));
  if (s.sizes_given) {
    out.push_back(fmt::format(
        "These two sigmas count like {:g} readings; what the residuals show counts beside them.",
        s.prior.noise_dof));
  } else {
    out.push_back(fmt::format(
        "The scatter assumed counts like {:g} readings where few are left over, like one where "
        "many are; what the residuals show counts beside it.",
        s.prior.noise_dof));
  }
  return out;
}

std::optional<Error> check_swing_options(const SwingOptions& options) {
  if (auto e = check("--reading-sigma-deg", options.reading_sigma_deg, 0.0, 30.0)) return e;
  if (auto e = check("--station-sigma-deg", options.station_sigma_deg, 0.0, 30.0)) return e;
  if (auto e = check("--north-sigma-deg", options.north_sigma_deg, 0.0, 30.0)) return e;
  if (auto e = check("--hysteresis-sigma-deg", options.hysteresis_sigma_deg, 0.0, 30.0)) return e;
  return check("--rounding-deg", options.rounding_deg, -1e-300, 30.0);
}

namespace {

std::optional<Error> check_swing_limits(const SwingOptions& options,
                                        const std::vector<SwingReading>& readings) {
  std::vector<std::string> known;
  for (const SwingReading& r : readings) {
    if (std::find(known.begin(), known.end(), r.compass) == known.end()) known.push_back(r.compass);
  }
  for (const auto& [name, limit] : options.limits) {
    const auto same = [&wanted = name](const std::string& compass) {
      return lower_case(compass) == lower_case(wanted);
    };
    if (std::any_of(known.begin(), known.end(), same)) continue;
    std::string names;
    for (const std::string& compass : known) {
      names += fmt::format("{}'{}'", names.empty() ? "" : ", ", compass);
    }
    return Error{ErrorKind::OutOfRange, fmt::format("no compass is called '{}'", name),
                 "option --limit", "a compass of the stations file: " + names,
                 "correct the name, or leave the option out"};
  }
  return std::nullopt;
}

}  // namespace

std::optional<Error> check_swing(const std::vector<SwingReading>& readings,
                                 const SwingOptions& options) {
  if (auto wrong = check_swing_options(options)) return wrong;
  if (!readings.empty()) return check_swing_limits(options, readings);
  return Error{ErrorKind::BadInput, "there is no reading of a compass", "the stations",
               "what each compass showed on each heading", "write the readings down"};
}

Result<SwingSolution> solve_swing(const std::vector<SwingReading>& readings,
                                  const SwingOptions& options) {
  if (auto wrong = check_swing(readings, options)) return *wrong;
  SwingSolution out;
  out.compasses = solve_compasses(by_compass(readings), options);
  out.assumptions = swing_assumptions(options);
  compare_compasses(out, readings, options);
  out.loads = loads_effects(out.compasses, options);
  out.sentence = sentence_of(out.compasses);
  return out;
}

}  // namespace qn
