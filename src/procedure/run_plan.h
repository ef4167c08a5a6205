// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "procedure/disturbance_plan.h"
#include "procedure/run_event.h"
#include "vocab/angle.h"
#include "vocab/equipment.h"

namespace qn::run {

/// Something that has to be on while a step is done.
struct Helper {
  std::string name, on, off;  ///< the device and its two states
};

/// Something that is read off on a step, after its wait, and answered with a number.
struct ToRead {
  std::string device;    ///< the instrument
  std::string with;      ///< which of Step::loads must be on; empty: nothing said
  std::string say;       ///< the question
  bool by_link = false;  ///< the listener reads it when it can; a person may all the same
};

/// One step as the engine leads through it: helpers on, to the state, wait, back, rest, helpers
/// off. Without a way back (turning the aircraft to a station) it is: to the state, wait.
struct Step {
  std::string device;                    ///< what is marked; for a station, its name
  std::string state;                     ///< where to
  std::string reference;                 ///< and back; empty: there is no way back
  std::string say, say_back;             ///< one sentence each
  std::string label, label_back;         ///< of the answer that it is done
  std::vector<std::string> members;      ///< of a set
  std::string caution;                   ///< shown again before this step; empty: not
  std::size_t group = 0;                 ///< steps that share a caution; 0: none
  bool optional = false;                 ///< the aircraft may not have it
  bool place = false;                    ///< a mark on the ground, which may be one of no use
  bool listens = true;                   ///< a change in the field during the wait means something
  bool offers = true;                    ///< a change before the tap: it may have been this step
  std::vector<Helper> helpers;           ///< in the order in which they are switched on
  std::vector<ToRead> reads;             ///< in any order by whoever reads
  std::optional<std::size_t> aim;        ///< index into Plan::aims; none: the wait is wait_s
  double transit_s = 0.0;                ///< to get there, and back
  double least_s = 12.0;                 ///< shortest wait, with its uncounted ends
  double longest_s = 120.0;              ///< longest wait that teaches anything
  std::optional<double> device_limit_s;  ///< longest wait that the device stands
  double wait_s = 20.0;                  ///< as planned; only of a step without an aim the rule
  double lead_s = 0.0, rest_s = 0.0, trail_s = 0.0;  ///< after helpers on, after back, after off
};

/// What several steps together have to reach: one state of one device.
struct Aim {
  std::string device, state;
};

struct State;

/// A procedure as the engine needs it. A further one is a function that makes such a plan.
struct Plan {
  std::string procedure;  ///< "disturbance"
  std::string safety;     ///< acknowledged before anything else; empty: nothing to say
  double first_rest_s = 60.0;
  std::vector<Step> steps;
  std::vector<std::string> caution_of_group;  ///< index: group; the first is empty
  std::vector<Aim> aims;
  std::vector<std::pair<std::string, std::vector<std::string>>> devices;  ///< names and states
  Angle wanted;                             ///< 95 % half-width to reach for each aim
  double horizontal_uT = 20.0;              ///< to turn a field into a heading error
  double R_uT2_s = 0.0, q_uT2_per_s = 0.0;  ///< noise as assumed before the run
  std::size_t most_visits = 6;              ///< of one aim
  bool by_time = false;   ///< waits end with their time, whether samples come or not
  std::size_t spare = 0;  ///< so many steps at the end are done only when they are wanted
  std::string loads;      ///< the switch of everything that ToRead::with is about
  /// What the readings so far lead to: doubts, further steps, and `weighed` last. Pure; empty: they
  /// lead to nothing.
  std::function<std::vector<Event>(const State&)> weigh;
};

/// The disturbance run.
/// equipment  the list that the plan was made from
Plan plan_of(const DisturbancePlan& plan, const std::vector<Device>& equipment);

/// Variance of one component of a field seen for `held_s` counted seconds between rests of
/// `rest_s`; PlanNoise::visit_variance_uT2 with this noise.
double visit_variance_uT2(double R_uT2_s, double q_uT2_per_s, double held_s, double rest_s);

}  // namespace qn::run
