// SPDX-License-Identifier: Apache-2.0
#include "app/book_recording.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <utility>

#include "app/utc_now.h"
#include "app/version.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

/// What DecodingRecord calls the bytes' own reading, without samples.
constexpr const char* kDecoder = "link";

std::string settings_of(const LinkDescription& link) {
  return Json{{"decoder", to_word(link.decoder.kind)},
              {"columns", link.decoder.columns},
              {"map", link.decoder.column_map},
              {"pieces_are_whole", link.pieces_are_whole},
              {"joins_midway", link.joins_midway}}
      .dump(-1, ' ', false, Json::error_handler_t::replace);
}

Result<LinkDescription> description_of(std::size_t number, const LinkRecord& link,
                                       const DecodingRecord& decoding) {
  LinkDescription out;
  out.link = number;
  out.address = link.source;
  try {
    const Json settings = Json::parse(decoding.settings);
    out.decoder.kind = decoder_kind_from(settings.at("decoder").get<std::string>())
                           .value_or(DecoderKind::automatic);
    out.decoder.columns = settings.at("columns").get<std::string>();
    out.decoder.column_map = settings.at("map").get<std::vector<std::string>>();
    out.pieces_are_whole = settings.at("pieces_are_whole").get<bool>();
    out.joins_midway = settings.at("joins_midway").get<bool>();
  } catch (const Json::exception& trouble) {
    return Error{ErrorKind::Corrupt, fmt::format("how it was read is damaged: {}", trouble.what()),
                 fmt::format("link {} of the recording", number), "decoder, columns and map",
                 "export the book; its bytes are whole"};
  }
  return out;
}

class BookSink : public ChunkSink {
 public:
  BookSink(std::shared_ptr<SharedBook> book, RecordingId recording, double later_s, double from_s)
      : book_{std::move(book)}, recording_{recording}, later_s_{later_s}, from_s_{from_s} {}

  Result<Done> add_link(const LinkDescription&) override { return Done{}; }

  Result<Done> add(const LinkEvent& event) override {
    const bool opened = event.kind == LinkEvent::Kind::opened;
    if (!opened && event.kind != LinkEvent::Kind::bytes) return Done{};
    LinkBytes& link = of(event.link - 1);
    link.bytes += opened ? std::string{} : event.text;
    link.pieces.push_back(
        {opened ? 0U : static_cast<std::uint32_t>(event.text.size()), event.time_s + later_s_});
    return Done{};
  }

  Result<Done> flush(double until_s) override {
    // What came while the clock was asked may be a little later than it.
    double until = std::max(until_s + later_s_, from_s_);
    for (const LinkBytes& link : links_) {
      if (!link.pieces.empty()) until = std::max(until, link.pieces.back().arrival_s);
    }
    const std::lock_guard lock{book_->mutex};
    const auto kept = book_->book.append(recording_, {from_s_, until, links_});
    if (!kept) return kept.error();
    from_s_ = until;
    links_.clear();
    return Done{};
  }

 private:
  LinkBytes& of(std::size_t link) {
    const auto there = std::find_if(links_.begin(), links_.end(),
                                    [&](const LinkBytes& l) { return l.link == link; });
    if (there != links_.end()) return *there;
    links_.push_back({link, {}, {}});
    return links_.back();
  }

  std::shared_ptr<SharedBook> book_;
  RecordingId recording_;
  double later_s_, from_s_;
  std::vector<LinkBytes> links_;
};

void add_events(const LinkBytes& link, std::vector<LinkEvent>& events) {
  std::size_t at = 0;
  for (const Piece& piece : link.pieces) {
    const bool opened = piece.bytes == 0;
    events.push_back({opened ? LinkEvent::Kind::opened : LinkEvent::Kind::bytes, link.link + 1,
                      piece.arrival_s, link.bytes.substr(at, piece.bytes)});
    at += piece.bytes;
  }
}

}  // namespace

Result<RecordingId> start_book_recording(Book& book, const NewRecording& head,
                                         const std::vector<LinkDescription>& links) {
  const auto id = book.start_recording(head);
  if (!id) return id.error();
  for (const LinkDescription& link : links) {
    const auto kept = book.add_decoding({DecodingId{}, id.value(), link.link - 1, kDecoder,
                                         std::string{program_version()}, settings_of(link),
                                         utc_now(), "", std::nullopt});
    if (!kept) return kept.error();
  }
  return id;
}

std::unique_ptr<ChunkSink> book_chunk_sink(std::shared_ptr<SharedBook> book, RecordingId recording,
                                           double later_s, double from_s) {
  return std::make_unique<BookSink>(std::move(book), recording, later_s, from_s);
}

Result<LinkRecording> book_link_recording(const Book& book, RecordingId id) {
  const auto record = book.recording(id);
  if (!record) return record.error();
  const auto decodings = book.decodings(id);
  if (!decodings) return decodings.error();
  LinkRecording out;
  out.utc = record.value().head.started_utc;
  const auto& links = record.value().head.links;
  for (std::size_t i = 0; i < links.size(); ++i) {
    const auto how =
        std::find_if(decodings.value().rbegin(), decodings.value().rend(),
                     [&](const DecodingRecord& d) { return d.link == i && d.decoder == kDecoder; });
    if (how == decodings.value().rend()) {
      return Error{ErrorKind::BadInput, "nothing says how its bytes are to be read",
                   fmt::format("link {} ('{}') of recording {}", i + 1, links[i].name,
                               static_cast<std::int64_t>(id)),
                   "a recording made by a run", "export the book and use the raw bytes"};
    }
    auto description = description_of(i + 1, links[i], *how);
    if (!description) return description.error();
    out.links.push_back(std::move(description).value());
  }
  const auto read = book.read_stretches(id, 0, [&](const Stretch& stretch) {
    std::vector<LinkEvent> events;
    for (const LinkBytes& link : stretch.links) add_events(link, events);
    std::stable_sort(events.begin(), events.end(),
                     [](const LinkEvent& a, const LinkEvent& b) { return a.time_s < b.time_s; });
    for (LinkEvent& event : events) out.events.push_back(std::move(event));
    out.last_s = stretch.until_s;
    return true;
  });
  if (!read) return read.error();
  for (const LinkDescription& link : out.links) {
    if (link.joins_midway) continue;
    out.events.push_back({LinkEvent::Kind::ended, link.link, out.last_s, ""});
  }
  return out;
}

Result<std::string> with_book_at(const std::string& path, const UseOfBook& use) {
  auto book = Book::open(path);
  if (!book) return book.error();
  return use(book.value());
}

}  // namespace qn
