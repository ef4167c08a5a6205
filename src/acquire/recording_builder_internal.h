// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "acquire/byte_source.h"
#include "acquire/column_names.h"
#include "acquire/line_index_internal.h"
#include "acquire/log_block_internal.h"
#include "vocab/result.h"
#include "vocab/sample.h"

namespace qn {

/// Puts a recording together from blocks that arrive in the order of the file.
class RecordingBuilder {
 public:
  RecordingBuilder(const LogColumns& columns, const RowPlan& plan, const ByteSource& source);

  /// Values must be in our units already.
  void add(const LogBlock& block, std::size_t first_line);

  /// errors  BadInput: fewer than two samples, no order in time
  Result<SensorRecording> finish() &&;

 private:
  std::vector<double>& column_of(LogQuantity quantity);
  bool is_usable(const LogBlock& block, std::size_t row) const;
  void append(const LogBlock& block, std::size_t begin, std::size_t end);
  void remark_on_cells();
  Result<Done> put_in_order();
  void move_to_zero();
  Error too_few_rows() const;

  const RowPlan& plan_;
  std::string name_;
  std::size_t file_size_;
  SensorRecording recording_;
  std::vector<std::vector<double>*> outputs_;  ///< by slot
  std::vector<std::size_t> required_;          ///< slots without which a row says nothing
  bool heading_alone_ = false;
  LineIndex lines_;
  std::vector<std::size_t> missing_;  ///< by slot
  std::size_t short_rows_ = 0;
  std::size_t repeated_headers_ = 0;
  std::size_t first_dropped_line_ = 0;
};

}  // namespace qn
