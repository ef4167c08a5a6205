// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/chunk_source.h"
#include "acquire/decoder.h"
#include "acquire/descriptor.h"
#include "acquire/transport.h"
#include "vocab/result.h"

namespace qn {

/// What has to be known of a link to decode its bytes again.
struct LinkDescription {
  std::size_t link = 1;  ///< counted from 1
  std::string address;   ///< as the user named it
  DecoderOptions decoder;
  bool pieces_are_whole = false;
  bool joins_midway = false;
};

/// Writes a link recording (docs/formats/link-recording.md): the bytes of several links as they
/// came, with the times of their arrival. Only ever appended to, without a trailer: whatever
/// happens, what is in the file can be read.
class LinkRecordingWriter {
 public:
  /// errors  Io: the file exists already (nothing is overwritten), or cannot be made
  static Result<std::unique_ptr<LinkRecordingWriter>> create(const std::string& path);

  // errors of all of them  Io: the disk is full or gone. What was half written is cut off again
  Result<Done> describe(const LinkDescription& link);
  /// The computer's calendar clock at time 0 of the recording, once: "2026-05-14T10:22:33Z".
  Result<Done> set_utc(std::string_view iso);
  Result<Done> add(const LinkEvent& event);
  /// What was added before this returns survives a power cut.
  Result<Done> flush();

  std::uint64_t bytes_written() const { return end_; }

 private:
  LinkRecordingWriter(std::string path, Descriptor file)
      : path_{std::move(path)}, file_{std::move(file)} {}
  Result<Done> append(char type, std::size_t link, double time_s, std::string_view payload);
  Result<Done> write_whole(std::string_view bytes);

  std::string path_;
  Descriptor file_;
  std::uint64_t end_ = 0;
};

/// A recording read back.
struct LinkRecording {
  std::vector<LinkDescription> links;
  std::string utc;                ///< "" when not stated
  std::vector<LinkEvent> events;  ///< in the order of the file; their bytes copied
  double last_s = 0.0;            ///< time of the last whole record
  std::uint64_t lost_bytes = 0;   ///< of records that are damaged or not whole
  bool end_is_cut = false;        ///< the last record is not whole: the recording was interrupted
};

/// errors  BadInput: missing, unreadable, not such a file (a newer version is said to be one)
Result<LinkRecording> read_link_recording(const std::string& path);
/// The same from bytes at hand.
Result<LinkRecording> parse_link_recording(std::string_view bytes, const std::string& name);

/// Plays one link of a recording. `recording` is shared by the sources of its links.
std::unique_ptr<ChunkSource> recorded_link_source(std::shared_ptr<const LinkRecording> recording,
                                                  std::size_t link);

/// Whether the file begins as a recording does.
bool is_link_recording(const std::string& path);

}  // namespace qn
