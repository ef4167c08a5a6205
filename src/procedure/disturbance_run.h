// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "earth/local_field.h"
#include "procedure/field_on_heading.h"
#include "procedure/heading_only.h"
#include "vocab/equipment.h"
#include "vocab/field_vector.h"
#include "vocab/mark.h"
#include "vocab/parallel.h"
#include "vocab/result.h"
#include "vocab/sample.h"
#include "vocab/verdict.h"

namespace qn {

struct DisturbanceOptions {
  LocalField earth;
  std::vector<Device> equipment;  ///< empty: every marked device, steady, states off and on
  std::optional<double> aircraft_heading_deg;  ///< magnetic; as the aircraft stood
  Limit limit;
  bool rigid = false;  ///< the airframe cannot have tilted while gear or engine was worked
};

/// One time a state was held: from its mark to the device's next mark.
struct StateVisit {
  double from_s = 0.0, to_s = 0.0;  ///< as estimated
  Vector3 field_uT{};               ///< seen in this visit alone
  Vector3 field_sigma_uT{};
  Angle worst;       ///< heading error of field_uT
  bool used = true;  ///< false: set aside, `remark` says why
  std::string remark;
};

/// What one state of a device does, against its reference state.
struct StateEffect {
  std::string state;
  UncertainField field;
  FieldHeadingError heading;
  std::vector<StateVisit> visits;  ///< in time order
  bool lower_bound = false;        ///< the sensor was at its rail: at least this much
  bool no_effect_seen = false;     ///< zero lies well inside the band
  bool unproven = false;           ///< the run cannot decide, whatever the limit
  Verdict verdict;
};

/// A device that comes and goes by itself while it is on.
struct Pulsing {
  double period_s = 0.0;
  double duty = 0.0;                    ///< share of the period, 0 to 1
  Vector3 peak_uT{};                    ///< above the quiet part of the period
  Vector3 mean_uT{};                    ///< over the period; what StateEffect::field holds
  bool peak_unproven = false;           ///< pulses shorter than two samples
  std::vector<double> alias_periods_s;  ///< other periods that fit as well
};

struct PerAmpere {
  Vector3 field_uT_per_A{};
  Vector3 sigma_uT_per_A{};
  std::optional<bool> proportional;  ///< none: one current only
};

struct DeviceEffect {
  std::string name;
  DeviceKind kind = DeviceKind::steady;
  bool optional = false;
  std::size_t repeats = 0;          ///< visits used of the state visited most
  std::vector<StateEffect> states;  ///< in the order of the equipment list, the reference left out
  std::vector<double> switch_times_s, switch_sigma_s;  ///< one for each mark, in their order
  std::vector<double> mark_times_s;
  std::optional<Pulsing> pulsing;
  std::optional<PerAmpere> per_ampere;
  std::vector<std::string> remarks;  ///< one sentence each

  /// The state with the largest estimate; devices are sorted by it, those whose repeats disagree by
  /// its lower end. (By the upper end a device of which little is known would stand before one that
  /// is known to be the worst.)
  const StateEffect& worst_state() const;
};

/// A set of devices worked together: a flight phase, or everything at once.
struct CombinationEffect {
  std::string phase;                 ///< "everything" for all at once
  std::vector<std::string> devices;  ///< those that count, optional ones last
  UncertainField field;              ///< vector sum, the common baseline's error counted once
  FieldHeadingError heading;
  std::vector<std::string> worst_subset;  ///< optional devices on which the sum is largest
  Angle worst_subset_error;
  Band95 worst_subset_95;
  std::optional<std::string> best_cure;  ///< the one device whose cure helps most
  Angle after_best_cure;
  std::vector<std::string> cure_order;  ///< fewest devices that bring it under the limit
  Verdict verdict;
};

/// Everything switched on at once, beside the sum of what each did alone.
struct AllOn {
  UncertainField measured, summed;
  bool agree = false;
  Angle difference;  ///< heading error of the difference, worst over headings
  Band95 difference_95;
};

struct Unexplained {
  enum class Kind { step, pulse, train, spike };
  Kind kind = Kind::step;
  double from_s = 0.0, to_s = 0.0;
  Vector3 size_uT{};
  Angle worst;  ///< heading error while it is there
  std::optional<double> period_s;
  std::optional<std::string> looks_like;  ///< the device whose signature is nearest
};
std::string_view to_word(Unexplained::Kind kind);

struct RunNoise {
  double white_uT = 0.0;            ///< 1 sigma of one sample, root mean square of the axes
  double correlation_time_s = 0.0;  ///< 0: independent from sample to sample
  double quantum_uT = 0.0;          ///< smallest step of the sensor; 0: too fine to see
  double drift_uT_per_min = 0.0;    ///< typical slope of the rest field
};

/// For plots: at most a few thousand points, the fit beside the data.
struct RunTrace {
  std::vector<double> time_s;
  std::vector<Vector3> field_uT;    ///< mean of the samples around that time
  std::vector<Vector3> fit_uT;      ///< rest field, drift and devices
  std::vector<Vector3> rest_uT;     ///< rest field and drift alone
  std::vector<unsigned char> used;  ///< 0: left out (transit, spike, unsettled edge)
};

struct DisturbanceRun {
  LocalField earth;
  Limit limit;
  double from_s = 0.0, to_s = 0.0;
  RunNoise noise;
  double common_delay_s = 0.0;  ///< marks after what the log shows, on the whole: positive is late
  double common_delay_sigma_s = 0.0;
  std::vector<DeviceEffect> devices;  ///< worst first
  std::vector<CombinationEffect> combinations;
  std::optional<AllOn> all_on;
  std::vector<Unexplained> unexplained;  ///< in time order
  std::vector<std::string> cure_order;   ///< over all phases
  std::vector<std::string> assumptions;  ///< own assumptions with their size
  std::vector<std::string> remarks;      ///< what was found in the run, and what was left out
  RunTrace trace;
  std::optional<HeadingOnly> heading_only;  ///< of an answer from a display (heading_run.h)
  std::string sentence;                     ///< the answer in one sentence
  Verdict verdict;                          ///< of the worst device or phase
};

/// Finds what each device does to the sensor, from a log and the marks of when it was worked.
///
/// recording  one sensor at rest, in microtesla, body axes; at least 10 s
/// marks      any order; unknown devices are refused when an equipment list is given
/// errors     BadInput, naming "the marks, line N": a device or state not in the list, no marks,
///            marks outside the recording, a log too short. What can be left out is, and said in
///            `remarks`
/// cost       O(samples) plus a few dense solves of the number of visits
/// source     docs/math/disturbance.md
Result<DisturbanceRun> analyse_disturbance(const SensorRecording& recording,
                                           const std::vector<Mark>& marks,
                                           const DisturbanceOptions& options,
                                           const ParallelFor& parallel);

}  // namespace qn
