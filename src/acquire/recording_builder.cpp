// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <sys/mman.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "acquire/recording_builder_internal.h"
#include "acquire/time_repair_internal.h"
#include "vocab/count_of.h"
#include "vocab/expects.h"

namespace qn {
namespace {

bool carries_the_row(LogQuantity quantity, bool heading_alone) {
  switch (quantity) {
    case LogQuantity::time:
    case LogQuantity::field_x:
    case LogQuantity::field_y:
    case LogQuantity::field_z: return true;
    case LogQuantity::heading: return heading_alone;
    default: return false;
  }
}

constexpr double kCalendarClock_s = 1e8;  // three years: no recording lasts that long

/// A hint that saves most of the page faults of a long column; without effect where not supported.
void prefer_large_pages(std::vector<double>& column) {
#ifdef MADV_HUGEPAGE
  constexpr std::size_t kLargePage = 2 * 1024 * 1024;
  void* from = column.data();
  std::size_t room = column.capacity() * sizeof(double);
  if (std::align(kLargePage, kLargePage, from, room) == nullptr) return;
  (void)::madvise(from, room / kLargePage * kLargePage, MADV_HUGEPAGE);
#endif
}

}  // namespace

RecordingBuilder::RecordingBuilder(const LogColumns& columns, const RowPlan& plan,
                                   const ByteSource& source)
    : plan_{plan}, name_{source.name()}, file_size_{source.size()} {
  recording_.unit = columns.unit;
  heading_alone_ = columns.heading_alone;
  recording_.tally.remarks = columns.remarks;
  for (std::size_t q = 0; q < kLogQuantities; ++q) {
    if (!columns.of[q]) continue;
    const auto quantity = static_cast<LogQuantity>(q);
    if (carries_the_row(quantity, heading_alone_)) required_.push_back(outputs_.size());
    outputs_.push_back(&column_of(quantity));
  }
  missing_.assign(outputs_.size(), 0);
  QN_EXPECTS(outputs_.size() == plan.slots.size() && required_.size() >= 2);
}

std::vector<double>& RecordingBuilder::column_of(LogQuantity quantity) {
  switch (quantity) {
    case LogQuantity::time: return recording_.time_s;
    case LogQuantity::field_x: return recording_.field[0];
    case LogQuantity::field_y: return recording_.field[1];
    case LogQuantity::field_z: return recording_.field[2];
    case LogQuantity::roll: return recording_.roll_deg;
    case LogQuantity::pitch: return recording_.pitch_deg;
    case LogQuantity::accel_x: return recording_.accel_g[0];
    case LogQuantity::accel_y: return recording_.accel_g[1];
    case LogQuantity::accel_z: return recording_.accel_g[2];
    case LogQuantity::heading: return recording_.heading_deg;
    case LogQuantity::current: return recording_.current_A;
    case LogQuantity::temperature: return recording_.temperature_C;
  }
  return recording_.time_s;
}

bool RecordingBuilder::is_usable(const LogBlock& block, std::size_t row) const {
  for (const std::size_t slot : required_) {
    if (std::isnan(block.values[slot][row])) return false;
  }
  return true;
}

void RecordingBuilder::append(const LogBlock& block, std::size_t begin, std::size_t end) {
  for (std::size_t slot = 0; slot < outputs_.size(); ++slot) {
    const double* const from = block.values[slot].data();
    outputs_[slot]->insert(outputs_[slot]->end(), from + begin, from + end);
  }
}

void RecordingBuilder::add(const LogBlock& block, std::size_t first_line) {
  RecordingTally& tally = recording_.tally;
  if (tally.rows == 0 && block.rows > 0 && block.lines > 1) {
    // A guess of the whole length from the first block saves copying as the columns grow.
    const double share = static_cast<double>(file_size_) / static_cast<double>(kBlockBytes);
    const double guess = 1.02 * static_cast<double>(block.rows) * std::max(1.0, share);
    for (std::vector<double>* output : outputs_) {
      output->reserve(static_cast<std::size_t>(guess));
      prefer_large_pages(*output);
    }
  }
  tally.rows += block.rows;
  short_rows_ += block.short_rows;
  repeated_headers_ += block.repeated_headers;
  std::size_t missing_required = 0;
  for (std::size_t slot = 0; slot < missing_.size(); ++slot) {
    missing_[slot] += block.missing_of_slot[slot];
    tally.missing_cells += block.missing_of_slot[slot];
  }
  for (const std::size_t slot : required_) missing_required += block.missing_of_slot[slot];
  std::size_t kept = recording_.time_s.size();
  if (missing_required == 0 && block.rows == block.lines && block.rows > 0) {
    lines_.add(kept, first_line);  // every line is a row: the others follow
    append(block, 0, block.rows);
    return;
  }
  std::size_t begin = 0;
  for (std::size_t row = 0; row < block.rows; ++row) {
    const std::size_t line = first_line + block.line_of_row[row];
    if (missing_required > 0 && !is_usable(block, row)) {
      append(block, begin, row);
      begin = row + 1;
      if (tally.dropped_rows++ == 0) first_dropped_line_ = line;
      continue;
    }
    lines_.add(kept++, line);
  }
  append(block, begin, block.rows);
}

void RecordingBuilder::remark_on_cells() {
  auto& tally = recording_.tally;
  if (tally.missing_cells > 0) {
    tally.remarks.push_back(fmt::format("{} empty or not a number (NaN).",
                                        count_of(tally.missing_cells, "cell was", "cells were")));
  }
  if (tally.dropped_rows > 0) {
    tally.remarks.push_back(fmt::format(
        "{} no usable time or {} and {} left out, the first in line {}.",
        count_of(tally.dropped_rows, "row has", "rows have"), heading_alone_ ? "heading" : "field",
        tally.dropped_rows == 1 ? "was" : "were", first_dropped_line_));
  }
  if (short_rows_ > 0) {
    tally.remarks.push_back(fmt::format("{} fewer cells than the header.",
                                        count_of(short_rows_, "row has", "rows have")));
  }
  if (repeated_headers_ > 0) {
    tally.remarks.push_back(
        fmt::format("The header row is repeated {} and was passed over.",
                    repeated_headers_ == 1 ? "once" : count_of(repeated_headers_, "", "times")));
  }
}

Error RecordingBuilder::too_few_rows() const {
  const RecordingTally& tally = recording_.tally;
  if (tally.rows == 0) {
    return {ErrorKind::BadInput, "there is a header but no row of data", name_,
            "rows of numbers below the header",
            "record again, or check that the copy was completed"};
  }
  std::string what =
      fmt::format("only {} can be used of {}", count_of(recording_.size(), "sample", "samples"),
                  count_of(tally.rows, "row", "rows"));
  for (const std::size_t slot : required_) {
    if (missing_[slot] == 0) continue;
    for (std::size_t column = 0; column < plan_.slot_of_column.size(); ++column) {
      if (plan_.slot_of_column[column] != static_cast<int>(slot)) continue;
      what += fmt::format("; column {} ({}) is empty in {}", column + 1, plan_.column_names[column],
                          count_of(missing_[slot], "row", "rows"));
    }
  }
  return {
      ErrorKind::BadInput, what, name_,
      heading_alone_ ? "at least two samples with time and heading"
                     : "at least two samples with time and all three field values",
      heading_alone_
          ? "record the whole run, and check that the display was being logged"
          : "record for longer, at least through the whole turn, and check the sensor's wiring"};
}

Result<Done> RecordingBuilder::put_in_order() {
  auto order = rows_in_time_order(recording_.time_s, lines_, name_, recording_.tally);
  if (!order) return order.error();
  if (!order.value()) return Done{};
  const std::vector<std::size_t>& keep = *order.value();
  for (std::vector<double>* output : outputs_) {
    std::vector<double>& column = *output;
    // Rows only move forward, so each is read before it is written over.
    for (std::size_t i = 0; i < keep.size(); ++i) column[i] = column[keep[i]];
    column.resize(keep.size());
  }
  return Done{};
}

void RecordingBuilder::move_to_zero() {
  std::vector<double>& time_s = recording_.time_s;
  const double start = time_s.front();
  if (std::fabs(start) < kCalendarClock_s) return;
  for (double& t : time_s) t -= start;
  recording_.tally.remarks.push_back(
      fmt::format("The clock counts from a date; times are given from the first row on "
                  "({:.3f} s in the file).",
                  start));
}

Result<SensorRecording> RecordingBuilder::finish() && {
  if (recording_.size() < 2) return too_few_rows();
  remark_on_cells();
  if (auto ordered = put_in_order(); !ordered) return ordered.error();
  if (recording_.size() < 2) return too_few_rows();
  move_to_zero();
  describe_intervals(recording_.time_s, recording_.tally);
  return std::move(recording_);
}

}  // namespace qn
