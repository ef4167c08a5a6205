// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/line_splitter.h"
#include "acquire/link_reading.h"
#include "vocab/result.h"

namespace qn {

/// What became of the bytes of a link, so that nothing is left out silently.
/// lines = readings + quiet_lines + half_lines + bad_checksum + unnamed_lines + not_understood
struct DecoderTally {
  std::uint64_t bytes = 0;
  std::uint64_t noise_bytes = 0;       ///< control characters: not text in any alphabet
  std::uint64_t lines = 0;             ///< whole lines that were not too long
  std::uint64_t readings = 0;          ///< lines that said something
  std::uint64_t quiet_lines = 0;       ///< understood and of no use here: headers, other sentences
  std::uint64_t half_lines = 0;        ///< first line after joining midway, columns missing
  std::uint64_t bad_checksum = 0;      ///< thrown away
  std::uint64_t no_checksum = 0;       ///< NMEA sentences without one: used
  std::uint64_t unnamed_lines = 0;     ///< numbers, but nobody said which
  std::uint64_t not_understood = 0;    ///< everything else
  std::uint64_t too_long = 0;          ///< lines beyond kLongestLiveLine, thrown away
  std::uint64_t cut_short = 0;         ///< lines unfinished when the link was lost
  std::uint64_t missing_cells = 0;     ///< empty, NaN or no number, in lines that were used
  std::uint64_t impossible_cells = 0;  ///< numbers that cannot be meant, left out
  std::optional<std::uint64_t> first_bad_byte;   ///< offset of the first line thrown away
  std::string bad_example;                       ///< the latest line thrown away, fit to be shown
  std::string unnamed_example;                   ///< the latest of unnamed_lines
  std::map<std::string, std::uint64_t> sources;  ///< readings by source; at most kMostSources
  std::map<std::size_t, std::uint64_t> widths;   ///< delimited lines by number of cells; as many
};
inline constexpr std::size_t kMostSources = 32;

/// One more of `key`; keys beyond kMostSources are not counted.
template <class Key>
void count_one(std::map<Key, std::uint64_t>& counts, const Key& key) {
  if (counts.size() < kMostSources || counts.count(key) != 0) ++counts[key];
}

/// What one way of reading lines makes of one.
enum class LineVerdict {
  not_mine,      ///< another way may know it
  proven,        ///< a reading, with a checksum that holds
  reading,       ///< a reading without proof
  quiet,         ///< understood, says nothing of use here
  half,          ///< part of a line
  unnamed,       ///< numbers without names
  bad_checksum,  ///< damaged on the way
};

/// One way of reading lines. Pure: the same lines give the same readings.
class LineReader {
 public:
  virtual ~LineReader() = default;
  /// `line` has no line end and no control characters but tabs.
  virtual LineVerdict read(std::string_view line, LinkReading& reading, DecoderTally& tally) = 0;
};

/// Bytes of a link to readings: incremental, in any pieces, with bounded memory. Reads no clock.
class Decoder {
 public:
  explicit Decoder(std::vector<std::unique_ptr<LineReader>> readers);

  /// Appends to `out` what the lines say that these bytes complete.
  void feed(std::string_view bytes, std::vector<LinkReading>& out);
  /// The bytes up to here are whole: the end of a datagram, or of a file.
  void end_of_piece(std::vector<LinkReading>& out);
  /// The link was opened, perhaps in the middle of a line: an unfinished line is forgotten, and a
  /// first line is believed only when a checksum proves it (a number cut in front looks like one).
  void joined_midway();

  const DecoderTally& tally() const { return tally_; }
  std::size_t unfinished_bytes() const { return splitter_.unfinished(); }

 private:
  void line(std::string_view text, std::uint64_t offset, std::vector<LinkReading>& out);
  void throw_away(std::string_view text, std::uint64_t offset);

  std::vector<std::unique_ptr<LineReader>> readers_;
  LineSplitter splitter_;
  DecoderTally tally_;
  bool first_line_ = false;
};

enum class DecoderKind {
  automatic,  ///< NMEA sentences, named columns and sensor readings of this program, mixed
  nmea,
  lines,  ///< delimited lines only
  typed,  ///< readings typed by a person: "123" or "standby 123"
};
std::optional<DecoderKind> decoder_kind_from(std::string_view word);
std::string_view to_word(DecoderKind kind);

struct DecoderOptions {
  DecoderKind kind = DecoderKind::automatic;
  std::string columns;                  ///< names by position, "time_s,field_x_uT,-,..."; or empty
  std::vector<std::string> column_map;  ///< NAME=COLUMN each, as in sensor-log.md
};

/// errors  OutOfRange: a column is not known
Result<std::unique_ptr<Decoder>> make_decoder(const DecoderOptions& options);

}  // namespace qn
