// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <numeric>

#include "procedure/disturbance_marks_internal.h"
#include "vocab/letters.h"

namespace qn::disturbance {
namespace {

std::string place_of(const Mark& mark) {
  return mark.line > 0 ? fmt::format("the marks, line {}", mark.line)
                       : fmt::format("the mark at {:g} s", mark.time_s);
}

std::string listed(const std::vector<std::string>& names) {
  return fmt::format("{}", fmt::join(names, ", "));
}

class Reader {
 public:
  Reader(const std::vector<Device>& equipment, double from_s, double to_s)
      : from_s_{from_s}, to_s_{to_s}, fixed_list_{!equipment.empty()} {
    for (const Device& device : equipment) {
      // Until the period is known.
      const double settle_s = device.kind == DeviceKind::pulsing ? 1.0 : 0.0;
      run_.items.push_back({Item::What::device, device, settle_s});
    }
  }

  Result<MarkedRun> read(const std::vector<Mark>& marks) {
    if (marks.empty()) {
      return Error{ErrorKind::BadInput, "there is no mark", "the marks",
                   "one line for each time a device was switched: time_s, device, state",
                   "write down when each device was switched, or give the right file"};
    }
    std::vector<std::size_t> order(marks.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return marks[a].time_s < marks[b].time_s;
    });
    for (const std::size_t i : order) {
      const auto item = item_of(marks[i]);
      if (!item) return item.error();
      const auto state = state_of(marks[i], run_.items[item.value()].device);
      if (!state) return state.error();
      take(marks[i], i, item.value(), state.value());
    }
    if (outside_ == marks.size()) {
      return Error{ErrorKind::BadInput,
                   fmt::format("every mark lies outside the recording, which runs from {:.1f} to "
                               "{:.1f} s",
                               from_s_, to_s_),
                   "the marks", "times on the clock of the recording, in seconds",
                   "bring both to one clock: subtract the time at which the recording was started"};
    }
    if (outside_ > 0) {
      run_.remarks.push_back(
          fmt::format("{} mark{} outside the recording ({:.1f} to {:.1f} s) left out.", outside_,
                      outside_ == 1 ? "" : "s", from_s_, to_s_));
    }
    settle_sets();
    make_visits();
    return std::move(run_);
  }

 private:
  Result<std::size_t> item_of(const Mark& mark) {
    const std::string wanted = lower_case(mark.device);
    for (std::size_t i = 0; i < run_.items.size(); ++i) {
      if (lower_case(run_.items[i].device.name) == wanted) return i;
    }
    Item item;
    item.device.name = mark.device;
    if (mark.device == kEverything) {
      item.what = Item::What::everything;
    } else if (wanted.starts_with(kPhasePrefix)) {
      item.what = Item::What::phase;
      const std::string phase = wanted.substr(kPhasePrefix.size());
      if (fixed_list_ && !phase_known(phase)) {
        return Error{ErrorKind::BadInput,
                     "no device of the equipment list has the phase '" + phase + "'",
                     place_of(mark), "a phase of the column phases",
                     "correct the name, or name the phase in the equipment list"};
      }
    } else if (fixed_list_) {
      std::vector<std::string> names;
      for (const Item& known : run_.items) {
        if (known.what == Item::What::device) names.push_back(known.device.name);
      }
      return Error{ErrorKind::BadInput, "'" + mark.device + "' is not in the equipment list",
                   place_of(mark), "one of: " + listed(names),
                   "correct the name in the marks, or add the device to the equipment list"};
    } else if (mark.state != "0" && mark.state != "1" && lower_case(mark.state) != "off" &&
               lower_case(mark.state) != "on") {
      return Error{ErrorKind::BadInput,
                   "state '" + mark.state + "' of a device nobody has described", place_of(mark),
                   "on or off (1 or 0) where there is no equipment list",
                   "give the equipment list with the states of this device"};
    }
    run_.items.push_back(item);
    return run_.items.size() - 1;
  }

  bool phase_known(const std::string& phase) const {
    return std::any_of(run_.items.begin(), run_.items.end(), [&](const Item& item) {
      return std::any_of(item.device.phases.begin(), item.device.phases.end(),
                         [&](const std::string& p) { return lower_case(p) == phase; });
    });
  }

  static Result<std::size_t> state_of(const Mark& mark, const Device& device) {
    const std::string wanted = lower_case(mark.state);
    for (std::size_t s = 0; s < device.states.size(); ++s) {
      if (lower_case(device.states[s]) == wanted) return s;
      const auto number = state_number(s);
      if (number && std::to_string(*number) == wanted) return s;
    }
    return Error{ErrorKind::BadInput,
                 fmt::format("'{}' has no state '{}'", device.name, mark.state), place_of(mark),
                 "one of: " + listed(device.states) + ", or its number (0, 1, -1)",
                 "correct the state in the marks, or the states in the equipment list"};
  }

  void take(const Mark& mark, std::size_t index, std::size_t item, std::size_t state) {
    state_.resize(run_.items.size(), 0);
    run_.marks_of_item.resize(run_.items.size());
    run_.item_remarks.resize(run_.items.size());
    run_.marks_of_item[item].push_back(index);
    if (mark.time_s < from_s_ || mark.time_s > to_s_) {
      ++outside_;
      if (mark.time_s < from_s_) state_[item] = state;
      return;
    }
    if (state == state_[item]) {
      run_.item_remarks[item].push_back(
          fmt::format("The mark '{}' at {:.1f} s changes nothing: it was {} already. Left out.",
                      mark.state, mark.time_s, run_.items[item].device.states[state]));
      return;
    }
    run_.switches.push_back({item, state_[item], state, mark.time_s, index});
    state_[item] = state;
  }

  // A set moves and surges with its members, not all at one moment.
  void settle_sets() {
    for (Item& set : run_.items) {
      if (set.what == Item::What::device) continue;
      constexpr double kOneAfterTheOther_s = 2.0;
      set.settle_s = kOneAfterTheOther_s;
      for (const Item& member : run_.items) {
        if (member.what != Item::What::device || !belongs(member.device, set)) continue;
        set.device.transit_s = std::max(
            set.device.transit_s,
            std::max(member.device.transit_s, member.device.kind == DeviceKind::motor ? 2.5 : 0.0));
      }
    }
  }

  static bool belongs(const Device& device, const Item& set) {
    if (set.what == Item::What::everything) return true;
    const std::string phase = lower_case(set.device.name).substr(kPhasePrefix.size());
    return std::any_of(device.phases.begin(), device.phases.end(),
                       [&](const std::string& p) { return lower_case(p) == phase; });
  }

  void make_visits() {
    run_.marks_of_item.resize(run_.items.size());
    run_.item_remarks.resize(run_.items.size());
    std::vector<std::optional<std::size_t>> open(run_.items.size());
    for (std::size_t s = 0; s < run_.switches.size(); ++s) {
      const Switch& at = run_.switches[s];
      if (open[at.item]) {
        run_.visits[*open[at.item]].end = s;
      } else if (at.from_state != 0) {
        run_.visits.push_back({at.item, at.from_state, std::nullopt, s});
      }
      open[at.item].reset();
      if (at.to_state == 0) continue;
      open[at.item] = run_.visits.size();
      run_.visits.push_back({at.item, at.to_state, s, std::nullopt});
    }
    for (std::size_t i = 0; i < open.size(); ++i) {
      if (!open[i]) continue;
      run_.item_remarks[i].push_back(
          "Not switched back before the recording ended: this visit shows one edge only.");
    }
  }

  double from_s_, to_s_;
  bool fixed_list_;
  std::size_t outside_ = 0;
  std::vector<std::size_t> state_;
  MarkedRun run_;
};

}  // namespace

Result<MarkedRun> understand_marks(const std::vector<Mark>& marks,
                                   const std::vector<Device>& equipment, double log_from_s,
                                   double log_to_s) {
  return Reader{equipment, log_from_s, log_to_s}.read(marks);
}

}  // namespace qn::disturbance
