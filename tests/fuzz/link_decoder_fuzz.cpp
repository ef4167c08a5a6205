// SPDX-License-Identifier: Apache-2.0
//
// Any bytes, in any pieces, must end in readings that keep their promises, with every line counted
// once and memory bounded; and bytes in pieces must give what they give at once. Build with clang
// and -DQN_FUZZ=ON; run: qn_fuzz_link_decoder -max_total_time=600 CORPUS-COPY tests/fuzz/corpus
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>
#include <vector>

#include "acquire/decoder.h"
#include "acquire/link_recording.h"
#include "acquire/stream_timer.h"

namespace {

void demand(bool condition, const char* what) {
  if (condition) return;
  std::fprintf(stderr, "broken promise: %s\n", what);
  std::abort();
}

std::vector<qn::LinkReading> check_decoder(std::string_view bytes,
                                           const qn::DecoderOptions& options, std::size_t piece) {
  auto made = qn::make_decoder(options);
  demand(made.has_value(), "the options are good");
  qn::Decoder& decoder = *made.value();
  std::vector<qn::LinkReading> readings;
  for (std::size_t at = 0; at < bytes.size(); at += piece) {
    decoder.feed(bytes.substr(at, piece), readings);
    demand(decoder.unfinished_bytes() <= qn::kLongestLiveLine, "memory is bounded");
  }
  decoder.end_of_piece(readings);
  const qn::DecoderTally& t = decoder.tally();
  demand(t.bytes == bytes.size(), "every byte is counted");
  demand(t.lines == t.readings + t.quiet_lines + t.half_lines + t.bad_checksum + t.unnamed_lines +
                        t.not_understood,
         "every line is counted once");
  demand(t.readings == readings.size(), "every reading is counted");
  demand(t.sources.size() <= qn::kMostSources && t.widths.size() <= qn::kMostSources,
         "small tables");
  for (const qn::LinkReading& r : readings) {
    for (const double value : {r.field[0], r.field[1], r.field[2], r.heading_deg, r.sensor_time_s,
                               r.utc_s, r.current_A, r.latitude_deg}) {
      demand(!std::isinf(value), "no infinity");
    }
  }
  return readings;
}

void check_times(const std::vector<qn::LinkReading>& readings) {
  qn::StreamTimer timer;
  std::vector<qn::TimedReading> timed;
  double arrival_s = 0.0;
  for (const qn::LinkReading& r : readings) timer.stamp({r, r}, arrival_s += 0.1, timed);
  demand(timed.size() == 2 * readings.size(), "every reading has a time");
  for (const qn::TimedReading& t : timed) demand(std::isfinite(t.time_s), "times are numbers");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes{reinterpret_cast<const char*>(data), size};
  for (const qn::DecoderOptions& options :
       {qn::DecoderOptions{qn::DecoderKind::automatic, "", {}},
        qn::DecoderOptions{qn::DecoderKind::lines, "time_ms,field_x_uT,field_y_nT,field_z_mG", {}},
        qn::DecoderOptions{qn::DecoderKind::typed, "", {}}}) {
    const auto whole = check_decoder(bytes, options, std::max<std::size_t>(size, 1));
    const auto pieces = check_decoder(bytes, options, 3);
    demand(whole.size() == pieces.size(), "pieces give what the whole gives");
    check_times(whole);
  }
  const auto recording = qn::parse_link_recording(bytes, "fuzz");
  if (recording) demand(recording.value().lost_bytes <= size, "no more is lost than was there");
  return 0;
}
