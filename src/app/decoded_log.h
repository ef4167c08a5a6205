// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "acquire/link_recording.h"
#include "vocab/result.h"

namespace qn {

struct DecodedLogOptions {
  /// The link whose samples are the rows; 0: the one with the most samples of the field, else of a
  /// heading.
  std::size_t rows_of_link = 0;
};

/// The sensor log of a link recording (docs/formats/sensor-log.md): what `sensor` and
/// `disturb analyse` read.
struct DecodedLog {
  std::string csv;
  std::size_t rows = 0;
  std::size_t link = 0;              ///< whose samples are the rows
  std::string source;                ///< and which of its sources
  bool has_field = false;            ///< false: a heading log
  std::vector<std::string> remarks;  ///< what a person should know of it
};

/// One row for each sample of the field, at the time of its measurement on the recording's time
/// line. What else is known at that moment (heading, roll and pitch, current, temperature; from the
/// same source, others, or other links) stands beside it: the latest, when not older than
/// kHeldFor_s. Without a field, one row for each heading.
///
/// errors  BadInput: neither field nor heading, or no such link
Result<DecodedLog> decoded_log(const LinkRecording& recording, const DecodedLogOptions& options);
inline constexpr double kHeldFor_s = 2.0;

/// The same from a file to a file: `quietnorth link decode`.
/// errors  BadInput: the recording; Io: the log
Result<DecodedLog> decode_link_recording(const std::string& path, const std::string& csv_path,
                                         const DecodedLogOptions& options);

}  // namespace qn
