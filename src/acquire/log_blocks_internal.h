// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <new>
#include <optional>

#include "acquire/log_block_internal.h"
#include "acquire/ordered_work.h"

namespace qn {

/// Reads all blocks on several threads and hands them over in the order of the file.
///
/// prepare  prepare(block) on the reading thread, in any order
/// take     take(block, lines before it); blocks with a fault are not handed over
/// returns  the first trouble in the order of the file, or how many lines there were
template <class Prepare, class Take>
Result<std::size_t> for_each_block(const ByteSource& source, const RowPlan& plan, unsigned threads,
                                   const std::function<bool(double)>& progress,
                                   const Prepare& prepare, const Take& take) {
  const std::size_t count = plan.block_count(source.size());
  const std::size_t report_every = count / 100 + 1;
  std::size_t lines = 0;
  std::size_t done = 0;
  std::optional<Error> trouble;
  try {
    work_in_order<LogBlock>(
        count, thread_count(threads),
        [&](std::size_t index, LogBlock& block) {
          read_log_block(source, plan, index, block);
          prepare(block);
        },
        [&](LogBlock& block) {
          if (block.read_error) trouble = block.read_error;
          if (block.fault) trouble = to_error(*block.fault, plan, source.name(), lines);
          if (trouble) return false;
          take(block, lines);
          lines += block.lines;
          ++done;
          const bool report = progress && (done % report_every == 0 || done == count);
          if (!report || progress(static_cast<double>(done) / static_cast<double>(count))) {
            return true;
          }
          trouble = Error{ErrorKind::Io, "reading was stopped on request", source.name(),
                          "a reading that runs to its end", "start again when you are ready"};
          return false;
        });
  } catch (const std::bad_alloc&) {
    trouble = Error{ErrorKind::Io, "the machine has not enough memory for this recording",
                    source.name(), "a recording that fits into memory",
                    "split the recording, or record at a lower rate"};
  }
  if (trouble) return *std::move(trouble);
  return lines;
}

}  // namespace qn
