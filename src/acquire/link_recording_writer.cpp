// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <utility>

#include "acquire/crc32c.h"
#include "acquire/link_recording.h"
#include "acquire/link_recording_internal.h"

namespace qn {
namespace {

Error cannot_write(const std::string& path, int reason) {
  if (reason == EEXIST) {
    return {ErrorKind::Io, "there is a file of that name already", path, "a new name",
            "choose another name, or move the old recording away"};
  }
  const bool full = reason == ENOSPC || reason == EDQUOT;
  return {ErrorKind::Io, fmt::format("the recording cannot be written: {}", std::strerror(reason)),
          path, "a folder on a disk with room, in which you may write",
          full ? "free some space on the disk; what was recorded before this is whole"
               : "check the disk, or record into another folder"};
}

char type_of(LinkEvent::Kind kind) {
  switch (kind) {
    case LinkEvent::Kind::opened: return kRecordOpened;
    case LinkEvent::Kind::bytes: return kRecordBytes;
    case LinkEvent::Kind::lost: return kRecordLost;
    case LinkEvent::Kind::ended: return kRecordEnded;
    case LinkEvent::Kind::remark: break;
  }
  return kRecordRemark;
}

/// One "key=value" line; a line end inside a value would begin another.
void add_line(std::string& text, std::string_view key, std::string value) {
  std::replace(value.begin(), value.end(), '\n', ' ');
  text += fmt::format("{}={}\n", key, value);
}

}  // namespace

Result<std::unique_ptr<LinkRecordingWriter>> LinkRecordingWriter::create(const std::string& path) {
  Descriptor file{::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0666)};
  if (!file) return cannot_write(path, errno);
  std::unique_ptr<LinkRecordingWriter> writer{new LinkRecordingWriter{path, std::move(file)}};
  auto begun = writer->write_whole(fmt::format("{}{}\n", kRecordingStart, kRecordingVersion));
  if (!begun) return begun.error();
  return writer;
}

Result<Done> LinkRecordingWriter::write_whole(std::string_view bytes) {
  std::string_view left = bytes;
  while (!left.empty()) {
    const ssize_t count = ::write(file_.get(), left.data(), left.size());
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) {
      const int reason = errno;
      (void)!::ftruncate(file_.get(), static_cast<off_t>(end_));
      return cannot_write(path_, reason);
    }
    left.remove_prefix(static_cast<std::size_t>(count));
  }
  end_ += bytes.size();
  return Done{};
}

Result<Done> LinkRecordingWriter::append(char type, std::size_t link, double time_s,
                                         std::string_view payload) {
  do {
    const std::string_view part = payload.substr(0, kLongestPayload);
    payload.remove_prefix(part.size());
    std::string head =
        fmt::format("{} {} {} {}", type, link, std::llround(time_s * 1e6), part.size());
    const std::uint32_t sum = crc32c(part, crc32c(head));
    head += fmt::format(" {:08x}\n", sum);
    head += part;
    head += '\n';
    if (auto written = write_whole(head); !written) return written.error();
  } while (!payload.empty());
  return Done{};
}

Result<Done> LinkRecordingWriter::describe(const LinkDescription& link) {
  std::string text;
  add_line(text, "address", link.address);
  add_line(text, "decoder", std::string{to_word(link.decoder.kind)});
  if (!link.decoder.columns.empty()) add_line(text, "columns", link.decoder.columns);
  for (const std::string& entry : link.decoder.column_map) add_line(text, "map", entry);
  add_line(text, "pieces", link.pieces_are_whole ? "whole" : "any");
  add_line(text, "joins", link.joins_midway ? "midway" : "start");
  return append(kRecordLink, link.link, 0.0, text);
}

Result<Done> LinkRecordingWriter::set_utc(std::string_view iso) {
  return append(kRecordUtc, 0, 0.0, iso);
}

Result<Done> LinkRecordingWriter::add(const LinkEvent& event) {
  return append(type_of(event.kind), event.link, event.time_s, event.text);
}

Result<Done> LinkRecordingWriter::flush() {
  if (::fdatasync(file_.get()) == 0) return Done{};
  // A pipe or a device cannot be flushed, and loses nothing by it.
  return errno == EINVAL || errno == EROFS ? Result<Done>{Done{}} : cannot_write(path_, errno);
}

}  // namespace qn
