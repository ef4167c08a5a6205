// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "accuracy/coverage_table.h"

namespace qn::accuracy {

/// What a row of the table has to fulfil; all of it in shares of the runs' mean coverage.
struct RowGate {
  double least = 0.93, most = 0.97;  ///< of many runs; with few, 95 % +- 3 standard errors if wider
  double centre = 0.95;
  double ratio = 0.0;  ///< rms error over the bound at most; 0: only printed
};

/// Coverage where one run gives many readings that are not independent of each other: the unit is
/// the run. Coverage is the mean of the runs' own, its standard error from their scatter.
class RunCoverage {
 public:
  /// Readings of one run; called once a run.
  void add_run(const std::vector<Reading>& readings);
  void add_refusal(const std::string& reason);
  void add_check(const std::string& sentence, bool holds);
  /// A quantity that no gate was set for is gated as RowGate{}.
  void set_gate(const std::string& quantity, const RowGate& gate);

  std::size_t runs() const { return runs_; }
  std::size_t refusals() const;
  bool holds() const;
  std::string to_markdown(const std::string& name, const std::string& how) const;

  struct Row {
    std::size_t runs = 0, readings = 0, below = 0, above = 0;
    double sum_share = 0.0, sum_share_squared = 0.0;
    std::size_t with_bound = 0;
    double sum_error_squared = 0.0, sum_bound_squared = 0.0, sum_ratio_squared = 0.0;

    double share() const;
    double standard_error() const;
    std::vector<double> ratios;  ///< size of error over bound, case by case

    double typical() const;         ///< their median over that of a normal law: without the tail
    double rms_over_bound() const;  ///< rms error over rms bound; NaN without bounds
    double case_by_case() const;    ///< rms of error over bound
  };
  const Row* find(const std::string& quantity) const;

 private:
  RowGate gate_of(const std::string& quantity) const;
  std::string trouble_with(const std::string& quantity) const;  ///< empty: holds

  std::size_t runs_ = 0;
  std::vector<std::string> order_;
  std::map<std::string, Row> rows_;
  std::map<std::string, RowGate> gates_;
  std::map<std::string, std::size_t> refusals_;
  std::vector<std::pair<std::string, bool>> checks_;
};

}  // namespace qn::accuracy
