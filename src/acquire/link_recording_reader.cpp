// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <utility>

#include "acquire/byte_source.h"
#include "acquire/crc32c.h"
#include "acquire/link_recording.h"
#include "acquire/link_recording_internal.h"

namespace qn {
namespace {

struct Record {
  char type = 0;
  std::uint64_t link = 0;
  std::uint64_t time_us = 0;
  std::string_view payload;
  std::size_t next = 0;   // offset of the record after it
  bool end_hurt = false;  // no line end follows: the record itself is whole all the same
};

/// A whole number and the character after it, which must be `end`.
bool take_number(std::string_view& text, int base, char end, std::uint64_t& value) {
  const auto parsed = std::from_chars(text.data(), text.data() + text.size(), value, base);
  if (parsed.ec != std::errc{} || parsed.ptr == text.data() + text.size() || *parsed.ptr != end) {
    return false;
  }
  text.remove_prefix(static_cast<std::size_t>(parsed.ptr - text.data()) + 1);
  return true;
}

std::optional<Record> record_at(std::string_view bytes, std::size_t at) {
  std::string_view text = bytes.substr(at);
  Record record;
  if (text.size() < 2 || text[1] != ' ') return std::nullopt;
  record.type = text[0];
  text.remove_prefix(2);
  std::uint64_t size = 0;
  std::uint64_t sum = 0;
  if (!take_number(text, 10, ' ', record.link) || !take_number(text, 10, ' ', record.time_us) ||
      !take_number(text, 10, ' ', size)) {
    return std::nullopt;
  }
  const std::size_t head = text.data() - bytes.data() - at - 1;  // without the last blank
  if (!take_number(text, 16, '\n', sum) || size > kLongestPayload || text.size() < size + 1) {
    return std::nullopt;
  }
  record.payload = text.substr(0, size);
  if (crc32c(record.payload, crc32c(bytes.substr(at, head))) != sum) return std::nullopt;
  record.end_hurt = text[size] != '\n';
  record.next = static_cast<std::size_t>(text.data() - bytes.data()) + size + 1;
  return record;
}

LinkDescription description_of(const Record& record) {
  LinkDescription link;
  link.link = record.link;
  std::string_view text = record.payload;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t sign = std::min(line.find('='), line.size());
    const std::string_view key = line.substr(0, sign);
    const std::string value{line.substr(std::min(sign + 1, line.size()))};
    if (key == "address") link.address = value;
    if (key == "decoder") {
      link.decoder.kind = decoder_kind_from(value).value_or(DecoderKind::automatic);
    }
    if (key == "columns") link.decoder.columns = value;
    if (key == "map") link.decoder.column_map.push_back(value);
    if (key == "pieces") link.pieces_are_whole = value == "whole";
    if (key == "joins") link.joins_midway = value == "midway";
  }
  return link;
}

std::optional<LinkEvent::Kind> kind_of(char type) {
  switch (type) {
    case kRecordOpened: return LinkEvent::Kind::opened;
    case kRecordBytes: return LinkEvent::Kind::bytes;
    case kRecordLost: return LinkEvent::Kind::lost;
    case kRecordEnded: return LinkEvent::Kind::ended;
    case kRecordRemark: return LinkEvent::Kind::remark;
    default: return std::nullopt;  // of a later program, which may add some: passed over
  }
}

void take(const Record& record, LinkRecording& out) {
  if (record.type == kRecordLink) {
    out.links.push_back(description_of(record));
  } else if (record.type == kRecordUtc) {
    out.utc = std::string{record.payload};
  } else if (const auto kind = kind_of(record.type)) {
    const double time_s = static_cast<double>(record.time_us) / 1e6;
    out.last_s = std::max(out.last_s, time_s);
    out.events.push_back({*kind, record.link, time_s, std::string{record.payload}});
  }
}

/// After a damaged record: the next offset at the start of a line at which a whole one stands.
std::size_t next_whole(std::string_view bytes, std::size_t at) {
  while ((at = bytes.find('\n', at)) != std::string_view::npos) {
    ++at;
    if (record_at(bytes, at)) return at;
  }
  return bytes.size();
}

Error not_one(const std::string& name, std::string what, std::string remedy) {
  return {ErrorKind::BadInput, std::move(what), name,
          "a link recording, as 'quietnorth link record' writes it", std::move(remedy)};
}

class RecordedLink : public ChunkSource {
 public:
  RecordedLink(std::shared_ptr<const LinkRecording> recording, std::size_t link)
      : recording_{std::move(recording)}, link_{link} {
    for (const LinkDescription& d : recording_->links) {
      if (d.link == link_) description_ = d;
    }
  }
  std::optional<LinkEvent> next() override {
    while (at_ < recording_->events.size()) {
      const LinkEvent& event = recording_->events[at_++];
      if (event.link == link_ && event.kind != LinkEvent::Kind::ended) return event;
    }
    return std::nullopt;
  }
  bool pieces_are_whole() const override { return description_.pieces_are_whole; }
  bool joins_midway() const override { return description_.joins_midway; }

 private:
  std::shared_ptr<const LinkRecording> recording_;
  std::size_t link_;
  LinkDescription description_;
  std::size_t at_ = 0;
};

}  // namespace

Result<LinkRecording> parse_link_recording(std::string_view bytes, const std::string& name) {
  if (bytes.substr(0, kRecordingStart.size()) != kRecordingStart) {
    return not_one(name, "this is no link recording", "choose another file");
  }
  std::string_view rest = bytes.substr(kRecordingStart.size());
  std::uint64_t version = 0;
  if (!take_number(rest, 10, '\n', version)) {
    return not_one(name, "the first line of the recording is damaged",
                   "restore a copy of the file");
  }
  if (version != static_cast<std::uint64_t>(kRecordingVersion)) {
    return not_one(name,
                   fmt::format("this recording is of version {}, newer than this program", version),
                   "read it with the program that wrote it, or a later one");
  }
  LinkRecording out;
  for (std::size_t at = bytes.size() - rest.size(); at < bytes.size();) {
    const auto record = record_at(bytes, at);
    if (record) {
      take(*record, out);
      at = record->next;
      out.lost_bytes += record->end_hurt ? 1 : 0;
      continue;
    }
    const std::size_t next = next_whole(bytes, at);
    out.lost_bytes += next - at;
    out.end_is_cut = next == bytes.size();
    at = next;
  }
  return out;
}

Result<LinkRecording> read_link_recording(const std::string& path) {
  const auto file = open_file(path);
  if (!file) return file.error();
  std::string bytes(file.value()->size(), '\0');
  if (auto read = file.value()->read_at(0, bytes.data(), bytes.size()); !read) return read.error();
  return parse_link_recording(bytes, file.value()->name());
}

std::unique_ptr<ChunkSource> recorded_link_source(std::shared_ptr<const LinkRecording> recording,
                                                  std::size_t link) {
  return std::make_unique<RecordedLink>(std::move(recording), link);
}

bool is_link_recording(const std::string& path) {
  const auto file = open_file(path);
  std::string start(kRecordingStart.size(), '\0');
  return file && file.value()->size() >= start.size() &&
         file.value()->read_at(0, start.data(), start.size()).has_value() &&
         start == kRecordingStart;
}

}  // namespace qn
