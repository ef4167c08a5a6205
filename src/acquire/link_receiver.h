// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "acquire/decoder.h"
#include "acquire/link_recording.h"
#include "acquire/source_health.h"
#include "acquire/stream_timer.h"
#include "acquire/transport.h"

namespace qn {

/// Everything between the raw events of one link and its readings on the time line, with what is
/// worth knowing on the way. Pure: the same events give the same readings, live and on replay.
class LinkReceiver {
 public:
  /// errors  OutOfRange: the decoder's options
  static Result<std::unique_ptr<LinkReceiver>> make(LinkDescription description);

  /// Appends to `out` what the event brings; link numbers are not looked at.
  void take(const LinkEvent& event, std::vector<TimedReading>& out);

  const LinkDescription& description() const { return description_; }
  const DecoderTally& tally() const { return decoder_->tally(); }
  std::size_t unfinished_bytes() const { return decoder_->unfinished_bytes(); }
  const StreamTimer& timer() const { return timer_; }
  /// By source, at most kMostSources; what comes beyond is under "others".
  const std::map<std::string, SourceHealth>& sources() const { return sources_; }

  bool connected() const { return connected_; }
  bool ended() const { return ended_; }
  std::uint64_t times_lost() const { return times_lost_; }
  double opened_s() const { return opened_s_; }          ///< the latest opening
  double lost_s() const { return lost_s_; }              ///< the latest loss
  double last_bytes_s() const { return last_bytes_s_; }  ///< or the opening, when none came since
  /// What the transport had to say, each sentence once, at most 16.
  const std::vector<std::string>& remarks() const { return remarks_; }

 private:
  LinkReceiver(LinkDescription description, std::unique_ptr<Decoder> decoder)
      : description_{std::move(description)}, decoder_{std::move(decoder)} {}
  void place(std::vector<LinkReading>&& readings, double time_s, std::vector<TimedReading>& out);
  void remark(const std::string& text);

  LinkDescription description_;
  std::unique_ptr<Decoder> decoder_;
  StreamTimer timer_;
  std::map<std::string, SourceHealth> sources_;
  bool connected_ = false;
  bool ended_ = false;
  std::uint64_t times_lost_ = 0;
  double opened_s_ = 0.0, lost_s_ = 0.0, last_bytes_s_ = 0.0;
  std::vector<std::string> remarks_;
};

}  // namespace qn
