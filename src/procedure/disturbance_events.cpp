// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_events_internal.h"
#include "procedure/disturbance_gain_internal.h"

namespace qn::disturbance {
namespace {

constexpr std::size_t kMostEvents = 12;
constexpr double kApart_s = 4.0;  // events nearer to each other than this are one
// Chi-square of three sizes: beyond chance once in about 1e7 looks; where switches, of which some
// are read wrongly, stand beside both ends, far beyond it.
constexpr double kClear = 38.0;
constexpr double kClearBesideSwitches = 70.0;
constexpr double kWorthALook = 15.0;
constexpr std::size_t kMostLooks = 60;  // into the exact gain of a candidate
// An event that nearly fills a visit cannot be told from it.
constexpr double kOwnShare = 0.35;
constexpr double kBoxes_s[] = {1.5, 3.0, 5.0, 8.0, 12.0, 18.0};
constexpr double kHumps_s[] = {5.0, 7.5, 11.0, 16.0};
constexpr double kLeastBesideSwitches_s = 3.0;

struct Candidate {
  double score = 0.0;
  Event event;
};

constexpr unsigned char kBesideSwitch = 1, kBesideSet = 2;
constexpr double kSet_s = 5.0;  // the switches of a set are thrown one after another

// Blocks beside a switch.
std::vector<unsigned char> beside_switches(const Problem& problem) {
  const Pieces& blocks = problem.series->blocks;
  std::vector<unsigned char> out(blocks.size(), 0);
  for (std::size_t s = 0; s < problem.times.size(); ++s) {
    const SwitchTime& at = problem.times[s];
    const Item& item = problem.run->items[problem.run->switches[s].item];
    const bool set = item.what != Item::What::device;
    const double reach = set ? kSet_s : 1.0 + std::min(2.0 * at.sigma_s, 3.0) + item.settle_s;
    const std::size_t last = blocks.at(at.mean_s + reach + item.device.transit_s);
    for (std::size_t b = blocks.at(at.mean_s - reach); b <= last; ++b) {
      out[b] = std::max(out[b], set ? kBesideSet : kBesideSwitch);
    }
  }
  return out;
}

class Search {
 public:
  Search(const Problem& problem, const VisitSolution& solution)
      : blocks_{problem.series->blocks}, times_{solution.times}, beside_{beside_switches(problem)} {
    for (std::size_t axis = 0; axis < 3; ++axis) axes_.push_back({problem, solution, axis});
  }

  // Every one that is clear, clearest first; several of them may be one and the same event.
  std::vector<Candidate> candidates() {
    for (const double length_s : kBoxes_s) look_along(length_s, Event::Shape::box);
    for (const double length_s : kHumps_s) look_along(length_s, Event::Shape::hump);
    look_for_steps();
    const auto clearer = [](const Candidate& a, const Candidate& b) { return a.score > b.score; };
    std::sort(found_.begin(), found_.end(), clearer);
    if (found_.size() > kMostLooks) found_.resize(kMostLooks);
    for (Candidate& candidate : found_) candidate.score = score_of(candidate.event);
    std::erase_if(found_, [](const Candidate& candidate) { return candidate.score <= 0.0; });
    std::sort(found_.begin(), found_.end(), clearer);
    return std::move(found_);
  }

  // The shape that suits best, its ends moved to where the event is clearest.
  Event settled(const Candidate& candidate) const {
    Candidate best = with_ends_moved(candidate);
    if (stays(candidate.event)) return best.event;
    Event other = candidate.event;  // of about the same content
    const double quarter_s = 0.25 * (other.to_s - other.from_s);
    const bool box = other.shape == Event::Shape::box;
    other.shape = box ? Event::Shape::hump : Event::Shape::box;
    other.from_s += box ? -2.0 * quarter_s : quarter_s;
    other.to_s += box ? 2.0 * quarter_s : -quarter_s;
    if (other.from_s > blocks_.from_s) {
      const Candidate second = with_ends_moved({score_of(other), other});
      if (second.score > best.score) best = second;
    }
    return best.event;
  }

 private:
  bool stays(const Event& event) const { return event.to_s > blocks_.middle_s(blocks_.size() - 1); }

  // One end after the other, by less and less.
  Candidate with_ends_moved(Candidate best) const {
    const bool one_end = stays(best.event);
    const double length_s = best.event.to_s - best.event.from_s;
    for (double step_s = one_end ? 2.0 : 0.25 * length_s; step_s > 0.5 * blocks_.length_s;
         step_s *= 0.5) {
      for (const double by_s : {-step_s, step_s}) {
        for (double Event::*const end : {&Event::from_s, &Event::to_s}) {
          if (one_end && end == &Event::to_s) continue;
          Event moved = best.event;
          moved.*end += by_s;
          if (moved.from_s < blocks_.from_s || moved.to_s - moved.from_s < 1.0) continue;
          const double score = score_of(moved);
          if (score > best.score) best = {score, moved};
        }
      }
    }
    return best;
  }

  // A first look at what a shape would gain if it were alone, at every whole block; the exact gain
  // only where that is worth it and larger than beside it.
  void look_along(double length_s, Event::Shape shape) {
    const auto step = static_cast<std::size_t>(std::max(1.0, length_s / 8.0 / blocks_.length_s));
    const Vector3 usual = usual_information(length_s, shape);
    const auto from_s = [&](std::size_t b) {
      return blocks_.from_s + static_cast<double>(b) * blocks_.length_s;
    };
    // Drawn once: it is the same at every block.
    const BlockColumn drawn = event_column(blocks_, {from_s(1), from_s(1) + length_s, shape});
    std::vector<double> score;
    for (std::size_t b = 1; b + drawn.values.size() < blocks_.size(); b += step) {
      double here = 0.0;
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double g = axes_[axis].gradient(drawn.values, b);
        here += g * g / std::max(usual[axis], 1e-300);
      }
      score.push_back(here);
    }
    for (std::size_t i = 0; i < score.size(); ++i) {
      const double before = i > 0 ? score[i - 1] : 0.0;
      const double after = i + 1 < score.size() ? score[i + 1] : 0.0;
      if (score[i] < kWorthALook || score[i] < std::max(before, after)) continue;
      const double at_s = from_s(1 + i * step);
      found_.push_back({score[i], {at_s, at_s + length_s, shape}});
    }
  }

  // Nearly the same everywhere but at gaps: the most of a few places.
  Vector3 usual_information(double length_s, Event::Shape shape) const {
    const double log_s = blocks_.length_s * static_cast<double>(blocks_.size());
    Vector3 out{};
    for (const double share : {0.3, 0.45, 0.6}) {
      const double from_s = blocks_.from_s + share * log_s;
      const BlockColumn column = event_column(blocks_, {from_s, from_s + length_s, shape});
      for (std::size_t axis = 0; axis < 3; ++axis) {
        out[axis] = std::max(out[axis], axes_[axis].information(column));
      }
    }
    return out;
  }

  void look_for_steps() {
    const double end_s = blocks_.from_s + blocks_.length_s * static_cast<double>(blocks_.size());
    const auto near = static_cast<std::size_t>(std::max(1.0, kApart_s / blocks_.length_s));
    std::vector<double> size(blocks_.size(), 0.0);
    const Vector3 usual = usual_information(2.0 * end_s, Event::Shape::box);
    for (std::size_t b = 0; b < size.size(); ++b) {
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const double g = axes_[axis].gradient_of_step(b);
        size[b] += g * g / std::max(usual[axis], 1e-300);
      }
    }
    for (std::size_t b = near; b + near < size.size(); ++b) {
      if (size[b] < kWorthALook || beside_[b]) continue;
      const auto first = size.begin() + static_cast<std::ptrdiff_t>(b - near);
      const auto last = size.begin() + static_cast<std::ptrdiff_t>(b + near + 1);
      if (size[b] < *std::max_element(first, last)) continue;
      const double from = blocks_.from_s + static_cast<double>(b) * blocks_.length_s;
      found_.push_back({size[b], {from, end_s + 1.0, Event::Shape::box}});
    }
  }

  // How clear the event is; 0 where it is not, or may not be one.
  double score_of(const Event& event) const {
    const BlockColumn column = event_column(blocks_, event);
    const std::size_t last = column.begin + column.values.size() - 1;
    double used = 0.0;
    for (std::size_t b = column.begin; b <= last; ++b) used += times_.use[b] ? 1.0 : 0.0;
    if (used < 0.7 * static_cast<double>(column.values.size())) return 0.0;
    // A set is switched piece by piece: what that leaves is no event.
    if (beside_[column.begin] == kBesideSet || beside_[last] == kBesideSet) return 0.0;
    const bool between = beside_[column.begin] && beside_[last];
    if (between && event.to_s - event.from_s < kLeastBesideSwitches_s) return 0.0;
    double score = 0.0;
    for (const AxisGain& axis : axes_) {
      const AxisGain::Gain gain = axis.gain(column);
      if (gain.own_share < kOwnShare) return 0.0;
      score += gain.square;
    }
    return score > (between ? kClearBesideSwitches : kClear) ? score : 0.0;
  }

  const Pieces& blocks_;
  const BlockTimes& times_;
  std::vector<unsigned char> beside_;
  std::vector<AxisGain> axes_;
  std::vector<Candidate> found_;
};

}  // namespace

void find_events(Problem& problem, const VisitSolution& solution) {
  Search search{problem, solution};
  for (const Candidate& candidate : search.candidates()) {
    if (problem.events.size() >= kMostEvents) break;
    const bool taken =
        std::any_of(problem.events.begin(), problem.events.end(), [&](const Event& event) {
          // Beside the end of a train, or of a step, there may be something else.
          const bool long_one = event.to_s - event.from_s > 40.0;
          return !long_one && candidate.event.from_s < event.to_s + kApart_s &&
                 event.from_s - kApart_s < candidate.event.to_s;
        });
    if (!taken) problem.events.push_back(search.settled(candidate));
  }
}

}  // namespace qn::disturbance
