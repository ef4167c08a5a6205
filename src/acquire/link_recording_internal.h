// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string_view>

namespace qn {

// Kept by writer and reader alike; docs/formats/link-recording.md.
inline constexpr std::string_view kRecordingStart = "quietnorth link recording ";
inline constexpr int kRecordingVersion = 1;
inline constexpr std::size_t kLongestPayload = 1 << 20;

// Types of records.
inline constexpr char kRecordLink = 'L';
inline constexpr char kRecordUtc = 'U';
inline constexpr char kRecordOpened = 'O';
inline constexpr char kRecordBytes = 'B';
inline constexpr char kRecordLost = 'X';
inline constexpr char kRecordEnded = 'E';
inline constexpr char kRecordRemark = 'R';

}  // namespace qn
