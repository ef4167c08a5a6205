// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/heading_response_internal.h"

namespace qn::heading_only {
namespace {

using disturbance::MarkedRun;
using disturbance::Visit;

// Time of a unit step's response, summed from its beginning.
double area(const DisplayResponse& response, double t) {
  if (t <= 0.0) return 0.0;
  const double constant = response.time_constant_s;
  if (response.kind == DisplayResponse::Kind::sharp || constant <= 0.0) return t;
  const double gone = constant * (1.0 - std::exp(-t / constant));
  return response.kind == DisplayResponse::Kind::lag ? t - gone : gone;
}

double reach_s(const DisplayResponse& response) { return 7.0 * response.time_constant_s; }

BlockColumn visit_column(const ResponseLog& log, const DisplayResponse& response,
                         const Visit& visit, double on_s, double off_s) {
  const disturbance::Pieces& blocks = *log.blocks;
  BlockColumn out;
  out.begin = visit.begin ? blocks.at(on_s) : 0;
  // What was on since long before the log has been followed, or has faded.
  const double began_s = visit.begin ? on_s : blocks.from_s - 1e6;
  const std::size_t last = visit.end ? blocks.at(off_s + reach_s(response)) : blocks.size() - 1;
  for (std::size_t b = out.begin; b <= last; ++b) {
    const double from = blocks.from_s + static_cast<double>(b) * blocks.length_s;
    const double to = from + blocks.length_s;
    double value = shown_share(response, began_s, from, to);
    if (visit.end) value -= shown_share(response, off_s, from, to);
    out.values.push_back(value);
  }
  return out;
}

// When the state was reached. What a fading display shows of a path is near enough to a step in the
// middle of it; what a lagging one shows is taken out by a column of its own.
double reached_s(const ResponseLog& log, const DisplayResponse& response, std::size_t s) {
  const DeviceKind kind = log.run->items[log.run->switches[s].item].device.kind;
  const double on_the_way = kind == DeviceKind::motor ? 0.0 : 0.5;
  const double share = response.kind == DisplayResponse::Kind::lag ? 1.0 : on_the_way;
  return log.times_s[s] + share * transit_of(*log.run, s);
}

}  // namespace

double transit_of(const disturbance::MarkedRun& run, std::size_t s) {
  constexpr double kInrush_s = 2.5;
  const Device& device = run.items[run.switches[s].item].device;
  const bool starts = device.kind == DeviceKind::motor && run.switches[s].to_state != 0;
  return starts ? std::max(device.transit_s, kInrush_s) : device.transit_s;
}

BlockColumn column_of(const ResponseLog& log, const DisplayResponse& response, std::size_t v) {
  const Visit& visit = log.run->visits[v];
  const double on = visit.begin ? reached_s(log, response, *visit.begin) : 0.0;
  const double off = visit.end ? reached_s(log, response, *visit.end) : 0.0;
  return visit_column(log, response, visit, on, off);
}

double shown_share(const DisplayResponse& response, double since_s, double from_s, double to_s) {
  return (area(response, to_s - since_s) - area(response, from_s - since_s)) / (to_s - from_s);
}

std::vector<DisplayResponse> response_scale() {
  constexpr double kFiner = 1.15;
  std::vector<DisplayResponse> out;
  for (double t = 90.0; t > 0.3; t /= kFiner) out.push_back({DisplayResponse::Kind::lag, t});
  out.push_back({});
  for (double t = 2000.0; t > 4.0; t /= kFiner) out.push_back({DisplayResponse::Kind::fade, t});
  return out;
}

std::vector<BlockColumn> visit_columns(const ResponseLog& log, const DisplayResponse& response) {
  std::vector<BlockColumn> out;
  for (std::size_t v = 0; v < log.run->visits.size(); ++v) {
    out.push_back(column_of(log, response, v));
  }
  if (response.kind != DisplayResponse::Kind::lag) return out;
  const disturbance::Pieces& blocks = *log.blocks;
  for (std::size_t s = 0; s < log.times_s.size(); ++s) {
    const double transit = transit_of(*log.run, s);
    if (transit <= 0.0) continue;
    const DisplayResponse fading{DisplayResponse::Kind::fade, response.time_constant_s};
    const double over_s = log.times_s[s] + transit;
    BlockColumn behind;
    behind.begin = blocks.at(over_s);
    const std::size_t last = blocks.at(over_s + reach_s(response));
    for (std::size_t b = behind.begin; b <= last; ++b) {
      const double from = blocks.from_s + static_cast<double>(b) * blocks.length_s;
      behind.values.push_back(shown_share(fading, over_s, from, from + blocks.length_s));
    }
    out.push_back(std::move(behind));
  }
  return out;
}

BlockTimes usable_blocks(const ResponseLog& log) {
  const disturbance::Pieces& blocks = *log.blocks;
  BlockTimes out;
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    out.time_s.push_back(blocks.middle_s(b));
    out.weight.push_back(std::max(blocks.count[b], 0.1) / blocks.nominal_count);
    const bool odd = !log.odd.empty() && log.odd[b] != 0;
    out.use.push_back(blocks.count[b] > 0.25 * blocks.nominal_count && !odd ? 1 : 0);
  }
  const auto leave_out = [&](double from_s, double to_s) {
    for (std::size_t b = blocks.at(from_s); b <= blocks.at(to_s); ++b) out.use[b] = 0;
  };
  for (std::size_t s = 0; s < log.times_s.size(); ++s) {
    const double at = log.times_s[s];
    const double transit = transit_of(*log.run, s);
    if (transit > 0.0) {
      leave_out(at - log.spread_s, at + transit + log.spread_s);
    } else if (!log.own[s]) {
      // A moment that is not seen: its neighbourhood says little, and could say something wrong.
      leave_out(at - 0.5 * log.spread_s, at + 0.5 * log.spread_s);
    }
  }
  return out;
}

}  // namespace qn::heading_only
