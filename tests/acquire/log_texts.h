// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "acquire/byte_source.h"
#include "acquire/sensor_log.h"
#include "support/temporary_folder.h"

namespace qn::test {

inline Result<SensorRecording> read_text(std::string_view text, SensorLogOptions options = {}) {
  return read_sensor_log(*memory_source(text, "log.csv"), options);
}

/// The error of a text that must be refused; one with kind Corrupt when it was not.
inline Error refusal_of(std::string_view text, SensorLogOptions options = {}) {
  const auto recording = read_text(text, std::move(options));
  if (recording.has_value()) return {ErrorKind::Corrupt, "it was read", "-", "-", "-"};
  return recording.error();
}

inline bool contains(std::string_view text, std::string_view part) {
  return text.find(part) != std::string_view::npos;
}

/// A remark of the recording that holds `part`.
inline bool remarks_on(const SensorRecording& recording, std::string_view part) {
  for (const std::string& remark : recording.tally.remarks) {
    if (contains(remark, part)) return true;
  }
  return false;
}

}  // namespace qn::test
