// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder_typed.h"

#include <string>

#include "acquire/csv_line.h"
#include "acquire/decimal.h"
#include "vocab/heading.h"

namespace qn {
namespace {

class TypedReader : public LineReader {
 public:
  LineVerdict read(std::string_view line, LinkReading& reading, DecoderTally&) override {
    const std::string_view text = trim(line);
    if (text.empty() || text.front() == '#') return LineVerdict::quiet;
    const std::size_t gap = text.find_last_of(" \t");
    const auto heading =
        parse_number_with_comma(gap == std::string_view::npos ? text : text.substr(gap + 1));
    // NaN fails both comparisons, as it should.
    if (!heading || !(*heading >= 0.0 && *heading <= 360.0)) return LineVerdict::not_mine;
    reading.source =
        gap == std::string_view::npos ? "typed" : std::string{trim(text.substr(0, gap))};
    reading.heading_deg = wrap_360_deg(*heading);
    return LineVerdict::reading;
  }
};

}  // namespace

std::unique_ptr<LineReader> typed_line_reader() { return std::make_unique<TypedReader>(); }

}  // namespace qn
