// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <tuple>
#include <utility>

#include "procedure/swing_group_internal.h"

namespace qn {
namespace {

// From this size on the small-angle series is off by more than a degree (docs/sources.md).
constexpr double kLarge_deg = 20.0;
// Opinions less likely than this do not widen the bands by anything to be seen.
constexpr double kMatters = 0.02;
constexpr std::size_t kMostOpinions = 5;
// Rounding beyond so many times the assumed scatter is coarse whatever the readings say.
constexpr double kSurelyCoarse = 6.0;

double spread_of(DeviationForm form, const SwingParameters& theta) {
  const DeviationCurve curve = curve_of(form, theta);
  double most = 0.0;
  for (int z = 0; z < 360; z += 10) {
    most = std::max(most, std::fabs(curve.deviation_deg(z) - theta[0]));
  }
  return most;
}

std::vector<SwingRow> without(const std::vector<SwingRow>& rows,
                              const std::vector<std::size_t>& left_out) {
  std::vector<SwingRow> out;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (std::find(left_out.begin(), left_out.end(), i) == left_out.end()) out.push_back(rows[i]);
  }
  return out;
}

// What tilt may add to A, D and E is small and the same on all stops: no reading tells it, and it
// is added to their variances. Nothing beside what coarse rounding leaves.
SwingPosterior widened(SwingPosterior posterior, const CompassFit& fit) {
  if (!fit.prior.tilted || coarsely_rounded(posterior, fit.prior)) return posterior;
  const double more = std::pow(tilt_between_deg(fit.rows), 2);
  for (SwingNode& node : posterior.nodes) {
    SwingMatrix covariance = node.spread.covariance;
    for (const std::size_t j : {0U, 3U, 4U}) covariance[j][j] += more;
    node.spread = spread_of_information(spread_of_information(covariance).covariance);
  }
  return posterior;
}

/// Of one compass: its readings that an opinion calls wrong.
struct OwnSet {
  GrossSet set;
  std::size_t joint = 0;  ///< the likeliest opinion on all compasses that says so
};

class GroupFit {
 public:
  GroupFit(const std::vector<std::vector<SwingReading>>& readings, const SwingSettings& settings) {
    // A mark that is read twice in the same way was stood on twice.
    std::map<std::tuple<double, SwingTurn, int, int>, std::size_t> visits;
    for (std::size_t c = 0; c < readings.size(); ++c) {
      fits_.push_back(prepare_compass(readings[c], settings));
      theta_.push_back(first_guess(fits_.back()));
      std::map<std::tuple<double, SwingTurn, int>, int> times;
      for (std::size_t i = 0; i < readings[c].size(); ++i) {
        const SwingReading& r = readings[c][i];
        const int time = times[{r.station_deg, r.turn, r.repeat}]++;
        const auto visit =
            visits.emplace(std::tuple{r.station_deg, r.turn, r.repeat, time}, visits.size());
        shared_ = shared_ || !visit.second;
        rows_.push_back({c,
                         i,
                         visit.first->second,
                         fits_[c].prior.reading_sigma_deg,
                         fits_[c].prior.rounding_deg,
                         fits_[c].rows[i],
                         {}});
      }
      sd_.push_back(fits_.back().prior.sd);
    }
    left_out_.resize(fits_.size());
  }

  std::vector<CompassFit> run() {
    for (int round = 0; round < 4; ++round) {
      bool settled = refit(round > 0);
      sets_ = weigh_gross(rows_, sd_, most_rounded());
      const auto again = apart(sets_.front());
      if (again == left_out_ && settled) break;
      left_out_ = again;
    }
    std::vector<std::optional<std::vector<SwingPosterior>>> joint(sets_.size());
    for (std::size_t c = 0; c < fits_.size(); ++c) {
      CompassFit& fit = fits_[c];
      for (OwnSet& own : own_sets(c)) {
        if (fit.posteriors.size() == fit.sets.size() &&
            (fit.sets.empty() ||
             (own.set.probability >= kMatters && fit.posteriors.size() < kMostOpinions))) {
          fit.posteriors.push_back(widened(posterior_of(c, own, joint[own.joint]), fit));
        }
        fit.sets.push_back(std::move(own.set));
      }
    }
    return std::move(fits_);
  }

 private:
  const SwingPrior& most_rounded() const {
    const auto most = std::max_element(
        fits_.begin(), fits_.end(),
        [](const auto& a, const auto& b) { return a.prior.rounding_deg < b.prior.rounding_deg; });
    return most->prior;
  }

  // Parameters without what is left out, and all rows from there. False: look once more.
  bool refit(bool may_grow) {
    bool settled = true;
    for (std::size_t c = 0; c < fits_.size(); ++c) {
      CompassFit& fit = fits_[c];
      const auto used = without(fit.rows, left_out_[c]);
      theta_[c] = likeliest_parameters(used, fit.form, fit.prior, theta_[c]);
      if (fit.form == DeviationForm::series && spread_of(fit.form, theta_[c]) > kLarge_deg) {
        settled = false;
        if (may_grow) {
          fit.form = DeviationForm::exact;
          theta_[c] = likeliest_parameters(used, fit.form, fit.prior, theta_[c]);
        }
      }
    }
    for (JointRow& row : rows_) {
      const CompassFit& fit = fits_[row.compass];
      row.view = view_row(row.as_read, fit.form, theta_[row.compass], fit.prior);
    }
    return settled;
  }

  std::vector<std::vector<std::size_t>> apart(const GrossSet& set) const {
    std::vector<std::vector<std::size_t>> out(fits_.size());
    for (const std::size_t i : set.rows) out[rows_[i].compass].push_back(rows_[i].row);
    return out;
  }

  // The opinions as far as they concern one compass, likeliest first.
  std::vector<OwnSet> own_sets(std::size_t compass) const {
    std::vector<OwnSet> out;
    for (std::size_t s = 0; s < sets_.size(); ++s) {
      GrossSet own;
      for (std::size_t k = 0; k < sets_[s].rows.size(); ++k) {
        const JointRow& row = rows_[sets_[s].rows[k]];
        if (row.compass != compass) continue;
        own.rows.push_back(row.row);
        own.causes.push_back(sets_[s].causes[k]);
      }
      const auto same = std::find_if(out.begin(), out.end(), [&](const OwnSet& other) {
        return other.set.rows == own.rows && other.set.causes == own.causes;
      });
      if (same != out.end()) {
        same->set.probability += sets_[s].probability;
        continue;
      }
      own.probability = sets_[s].probability;
      out.push_back({std::move(own), s});
    }
    std::stable_sort(out.begin(), out.end(), [](const OwnSet& a, const OwnSet& b) {
      return a.set.probability > b.set.probability;
    });
    return out;
  }

  SwingPosterior posterior_of(std::size_t c, const OwnSet& own,
                              std::optional<std::vector<SwingPosterior>>& joint) const {
    const CompassFit& fit = fits_[c];
    if (shared_ && fit.prior.rounding_deg < kSurelyCoarse * fit.prior.sigma(0.0)) {
      if (!joint) joint = joint_posteriors(in_use(sets_[own.joint]), fits_, theta_);
      // Under coarse rounding the place beside the mark does not show: each compass alone then,
      // with its intervals as they are.
      if (!joint->empty() && !coarsely_rounded((*joint)[c], fit.prior)) return (*joint)[c];
    }
    return fit_swing_rows(without(fit.rows, own.set.rows), fit.form, fit.prior, theta_[c]);
  }

  std::vector<JointRow> in_use(const GrossSet& set) const {
    std::vector<JointRow> out;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (!std::binary_search(set.rows.begin(), set.rows.end(), i)) out.push_back(rows_[i]);
    }
    return out;
  }

  std::vector<CompassFit> fits_;
  std::vector<SwingParameters> theta_, sd_;
  std::vector<JointRow> rows_;
  std::vector<std::vector<std::size_t>> left_out_;  // of each compass
  std::vector<GrossSet> sets_;
  bool shared_ = false;  // two compasses were read on one stay
};

}  // namespace

std::vector<CompassFit> fit_group(const std::vector<std::vector<SwingReading>>& readings,
                                  const SwingSettings& settings) {
  return GroupFit{readings, settings}.run();
}

}  // namespace qn
