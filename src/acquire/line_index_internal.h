// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <algorithm>
#include <cstddef>
#include <vector>

namespace qn {

/// Which line of the file each kept row stood on; small, because rows mostly follow each other.
class LineIndex {
 public:
  /// Rows must be added in order; one that is left out is taken to follow the one before.
  void add(std::size_t row, std::size_t line) {
    if (breaks_.empty() || line != breaks_.back().line + (row - breaks_.back().row)) {
      breaks_.push_back({row, line});
    }
  }
  std::size_t line_of(std::size_t row) const {
    const auto after =
        std::upper_bound(breaks_.begin(), breaks_.end(), row,
                         [](std::size_t wanted, const Break& b) { return wanted < b.row; });
    if (after == breaks_.begin()) return 0;
    const Break& b = *(after - 1);
    return b.line + (row - b.row);
  }

 private:
  struct Break {
    std::size_t row;
    std::size_t line;
  };
  std::vector<Break> breaks_;
};

}  // namespace qn
