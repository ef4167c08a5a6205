// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <utility>
#include <vector>

namespace qn {

/// What three digits become when two beside each other change over: 231 and 312 for 321. Numbers
/// below `most` only, and none that is the same.
///
/// whole  0 to 999
inline std::vector<int> with_digits_swapped(int whole, int most) {
  const std::array<int, 3> digits = {whole / 100 % 10, whole / 10 % 10, whole % 10};
  std::vector<int> out;
  for (const std::size_t first : {0U, 1U}) {
    std::array<int, 3> other = digits;
    std::swap(other[first], other[first + 1]);
    const int number = 100 * other[0] + 10 * other[1] + other[2];
    if (number != whole && number < most) out.push_back(number);
  }
  return out;
}

}  // namespace qn
