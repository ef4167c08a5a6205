// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder.h"

#include <algorithm>
#include <utility>

#include "acquire/csv_line.h"
#include "acquire/decoder_iio.h"
#include "acquire/decoder_lines.h"
#include "acquire/decoder_nmea.h"
#include "acquire/decoder_typed.h"

namespace qn {
namespace {

bool is_noise(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return (byte < 0x20 && c != '\t' && c != '\r' && c != '\n') || byte == 0x7f;
}

}  // namespace

Decoder::Decoder(std::vector<std::unique_ptr<LineReader>> readers) : readers_{std::move(readers)} {}

void Decoder::feed(std::string_view bytes, std::vector<LinkReading>& out) {
  tally_.noise_bytes += std::count_if(bytes.begin(), bytes.end(), is_noise);
  splitter_.feed(bytes, [&](std::string_view text, std::uint64_t at) { line(text, at, out); });
  tally_.bytes = splitter_.bytes();
  tally_.too_long = splitter_.too_long();
}

void Decoder::end_of_piece(std::vector<LinkReading>& out) {
  splitter_.end_line([&](std::string_view text, std::uint64_t at) { line(text, at, out); });
}

void Decoder::joined_midway() {
  tally_.cut_short += splitter_.drop_line() ? 1 : 0;
  first_line_ = true;
}

void Decoder::throw_away(std::string_view text, std::uint64_t offset) {
  if (!tally_.first_bad_byte) tally_.first_bad_byte = offset;
  tally_.bad_example = show_cell(text);
}

void Decoder::line(std::string_view text, std::uint64_t offset, std::vector<LinkReading>& out) {
  ++tally_.lines;
  const bool first = std::exchange(first_line_, false);
  LinkReading reading;
  LineVerdict verdict = LineVerdict::not_mine;
  if (std::none_of(text.begin(), text.end(), is_noise)) {
    for (const auto& reader : readers_) {
      verdict = reader->read(text, reading, tally_);
      if (verdict != LineVerdict::not_mine) break;
    }
  }
  if (first && verdict == LineVerdict::reading) verdict = LineVerdict::half;
  // Joined midway, the first line is wrong more often than not: that is no fault of the link.
  if (first && verdict == LineVerdict::not_mine) verdict = LineVerdict::half;
  switch (verdict) {
    case LineVerdict::proven:
    case LineVerdict::reading:
      ++tally_.readings;
      count_one(tally_.sources, reading.source);
      out.push_back(std::move(reading));
      return;
    case LineVerdict::quiet: ++tally_.quiet_lines; return;
    case LineVerdict::unnamed:
      ++tally_.unnamed_lines;
      tally_.unnamed_example = show_cell(text);
      return;
    case LineVerdict::half: ++tally_.half_lines; break;
    case LineVerdict::bad_checksum: ++tally_.bad_checksum; break;
    case LineVerdict::not_mine: ++tally_.not_understood; break;
  }
  throw_away(text, offset);
}

std::optional<DecoderKind> decoder_kind_from(std::string_view word) {
  for (const DecoderKind kind :
       {DecoderKind::automatic, DecoderKind::nmea, DecoderKind::lines, DecoderKind::typed}) {
    if (to_word(kind) == word) return kind;
  }
  return std::nullopt;
}

std::string_view to_word(DecoderKind kind) {
  switch (kind) {
    case DecoderKind::nmea: return "nmea";
    case DecoderKind::lines: return "lines";
    case DecoderKind::typed: return "typed";
    case DecoderKind::automatic: break;
  }
  return "automatic";
}

Result<std::unique_ptr<Decoder>> make_decoder(const DecoderOptions& options) {
  std::vector<std::unique_ptr<LineReader>> readers;
  const DecoderKind kind = options.kind;
  if (kind == DecoderKind::typed) readers.push_back(typed_line_reader());
  if (kind == DecoderKind::automatic || kind == DecoderKind::nmea) {
    readers.push_back(nmea_line_reader());
  }
  if (kind == DecoderKind::automatic) readers.push_back(iio_line_reader());
  if (kind == DecoderKind::automatic || kind == DecoderKind::lines) {
    auto lines = delimited_line_reader(options.columns, options.column_map);
    if (!lines) return lines.error();
    readers.push_back(std::move(lines).value());
  }
  return std::make_unique<Decoder>(std::move(readers));
}

}  // namespace qn
