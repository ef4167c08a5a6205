// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "acquire/link_recording.h"
#include "app/chunk_sink.h"
#include "app/decoded_log.h"
#include "app/link_report.h"
#include "app/live_links.h"

namespace qn {

/// Keeps events in a link recording of its own (docs/formats/link-recording.md).
/// errors  Io: the file exists, or cannot be written
Result<std::unique_ptr<ChunkSink>> file_chunk_sink(const std::string& path);

/// One request for `quietnorth link record`.
struct RecordRequest {
  std::vector<LinkRequest> links;
  LiveLinkOptions options;
  std::string path;
  std::optional<std::string> csv_path;  ///< the decoded sensor log as well
  DecodedLogOptions csv;
  std::optional<double> seconds;  ///< so long; nothing: until Ctrl-C or the end of all links
  /// About once a second: how it goes.
  std::function<void(const std::vector<LinkReport>& links, double now_s)> on_tick;
  std::function<void(const LinkEvent& event)> on_event;
};

struct RecordedLinks {
  double seconds = 0.0;
  std::vector<LinkReport> links;
  std::optional<DecodedLog> log;
};

/// Records until Ctrl-C, the time given, or the end of all links.
///
/// errors  those of LiveLinks; Io: the disk (what was recorded before is whole and is named).
///         BadInput: nothing to make a log of; the recording is kept
Result<RecordedLinks> record_links(const RecordRequest& request);

}  // namespace qn
