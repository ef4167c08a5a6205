// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder_iio.h"

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "acquire/csv_line.h"
#include "acquire/decimal.h"

namespace qn {
namespace {

constexpr double kMicroteslaPerGauss = 100.0;  // 1 G = 1e-4 T, by definition
constexpr double kLargestField_uT = 1e9;

class IioReader : public LineReader {
 public:
  LineVerdict read(std::string_view line, LinkReading& reading, DecoderTally& tally) override {
    if (line.substr(0, 4) != "iio,") return LineVerdict::not_mine;
    split_csv_line(line, ',', cells_, storage_);
    std::array<double, 9> number{};
    if (cells_.size() != number.size() + 1) return LineVerdict::half;
    for (std::size_t i = 0; i < number.size(); ++i) {
      const auto parsed = parse_number(cells_[i + 1]);
      if (!parsed || !std::isfinite(*parsed)) return LineVerdict::half;
      number[i] = *parsed;
    }
    reading.source = "iio";
    for (std::size_t axis = 0; axis < 3; ++axis) {
      reading.field[axis] =
          (number[axis] + number[6 + axis]) * number[3 + axis] * kMicroteslaPerGauss;
      if (!(std::fabs(reading.field[axis]) <= kLargestField_uT)) {
        reading.field[axis] = LinkReading::kNone;
        ++tally.impossible_cells;
      }
    }
    return LineVerdict::reading;
  }

 private:
  std::vector<std::string_view> cells_;
  std::vector<std::string> storage_;
};

}  // namespace

std::unique_ptr<LineReader> iio_line_reader() { return std::make_unique<IioReader>(); }

}  // namespace qn
