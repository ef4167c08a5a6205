// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "vocab/equipment.h"
#include "vocab/mark.h"
#include "vocab/result.h"

namespace qn::disturbance {

/// Something that is marked: a device, a phase's normal set, or everything at once.
struct Item {
  enum class What { device, phase, everything };
  What what = What::device;
  Device device;          ///< of a set: its name, states off and on
  double settle_s = 0.0;  ///< within this of its switches the trace says nothing: a pulse's period
};

/// One mark that changes a state.
struct Switch {
  std::size_t item = 0;
  std::size_t from_state = 0, to_state = 0;  ///< index in Device::states; 0 is the reference
  double mark_s = 0.0;
  std::size_t mark = 0;  ///< index in the marks as given
};

/// A state away from the reference, held from one switch to another, or from the log's start or to
/// its end.
struct Visit {
  std::size_t item = 0;
  std::size_t state = 1;
  std::optional<std::size_t> begin;  ///< index in MarkedRun::switches; none: on from the start
  std::optional<std::size_t> end;    ///< none: still on when the log ends
};

struct MarkedRun {
  std::vector<Item> items;       ///< as in the equipment list, then phases, then everything
  std::vector<Switch> switches;  ///< in time order
  std::vector<Visit> visits;     ///< in order of their begin
  std::vector<std::vector<std::size_t>> marks_of_item;  ///< indices of the marks as given
  std::vector<std::string> remarks;
  std::vector<std::vector<std::string>> item_remarks;
};

/// Turns marks into switches and visits.
///
/// equipment  empty: every marked device is taken as steady with the states off and on
/// errors     BadInput naming "the marks, line N": a device or state that is not in the list, a
///            state of number without meaning, no mark at all, every mark outside the log
Result<MarkedRun> understand_marks(const std::vector<Mark>& marks,
                                   const std::vector<Device>& equipment, double log_from_s,
                                   double log_to_s);

}  // namespace qn::disturbance
