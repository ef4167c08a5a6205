// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "procedure/disturbance_result_internal.h"

namespace qn::disturbance {
namespace {

constexpr double kClearlyThere = 30.0;  // chi-square of three sizes: chance gives it once in 1e6

double length(const Vector3& v) { return std::hypot(v[0], v[1], v[2]); }

// The device state whose field points the same way and is about as long.
std::optional<std::string> nearest_signature(const Solved& solved, const JointFields& joint,
                                             const Vector3& size) {
  double best = 0.9;  // cosine
  std::optional<std::string> out;
  for (std::size_t s = 0; s < solved.states.size(); ++s) {
    const Item& item = solved.run.items[solved.states[s].item];
    if (item.what != Item::What::device) continue;
    const Vector3& b = joint.field_uT[s];
    const double ratio = length(b) / std::max(length(size), 1e-9);
    if (ratio < 0.5 || ratio > 2.0) continue;
    const double cosine = (b[0] * size[0] + b[1] * size[1] + b[2] * size[2]) /
                          std::max(length(b) * length(size), 1e-12);
    if (cosine > best) {
      best = cosine;
      out = item.device.name;
    }
  }
  return out;
}

Unexplained made(const Solved& solved, const JointFields& joint, Unexplained::Kind kind,
                 double from_s, double to_s, const Vector3& size, double horizontal_uT) {
  Unexplained out;
  out.kind = kind;
  out.from_s = from_s;
  out.to_s = to_s;
  out.size_uT = size;
  out.worst = worst_heading_error(size, horizontal_uT);
  out.looks_like = nearest_signature(solved, joint, size);
  return out;
}

}  // namespace

std::vector<Unexplained> unexplained_of(const Solved& solved, const JointFields& joint,
                                        const DisturbanceOptions& options) {
  std::vector<Unexplained> out;
  const double horizontal = options.earth.horizontal_uT;
  for (const Train& train : solved.trains) {
    Unexplained found = made(solved, joint, Unexplained::Kind::train, train.from_s, train.to_s,
                             train.size_uT, horizontal);
    found.period_s = train.period_s;
    out.push_back(found);
  }
  const std::size_t visits = solved.run.visits.size();
  const double end_s = solved.series.blocks.middle_s(solved.series.blocks.size() - 1);
  for (std::size_t e = 0; e < solved.problem.events.size(); ++e) {
    const Event& event = solved.problem.events[e];
    const bool stays = event.to_s > end_s - 1.0;
    const bool in_train =
        std::any_of(solved.trains.begin(), solved.trains.end(), [&](const Train& train) {
          return event.from_s > train.from_s - 5.0 && event.to_s < train.to_s + 5.0;
        });
    // Once everything is solved together, little may be left of a candidate.
    double standing = 0.0;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      standing += std::pow(solved.visits.size_uT[visits + e][axis] /
                               std::max(solved.visits.sigma_uT[visits + e][axis], 1e-9),
                           2);
    }
    if (in_train || standing < kClearlyThere) continue;
    out.push_back(made(solved, joint, stays ? Unexplained::Kind::step : Unexplained::Kind::pulse,
                       event.from_s, event.to_s, solved.visits.size_uT[visits + e], horizontal));
  }
  for (const Spike& spike : solved.series.spikes) {
    out.push_back(made(solved, joint, Unexplained::Kind::spike, spike.time_s, spike.time_s,
                       spike.size_uT, horizontal));
    out.back().looks_like.reset();
  }
  std::sort(out.begin(), out.end(),
            [](const Unexplained& a, const Unexplained& b) { return a.from_s < b.from_s; });
  return out;
}

}  // namespace qn::disturbance

namespace qn {

std::string_view to_word(Unexplained::Kind kind) {
  switch (kind) {
    case Unexplained::Kind::step: return "step";
    case Unexplained::Kind::pulse: return "pulse";
    case Unexplained::Kind::train: return "train";
    case Unexplained::Kind::spike: return "spike";
  }
  return "step";
}

}  // namespace qn
