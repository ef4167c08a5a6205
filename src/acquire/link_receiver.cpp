// SPDX-License-Identifier: Apache-2.0
#include "acquire/link_receiver.h"

#include <algorithm>
#include <utility>

namespace qn {

Result<std::unique_ptr<LinkReceiver>> LinkReceiver::make(LinkDescription description) {
  auto decoder = make_decoder(description.decoder);
  if (!decoder) return decoder.error();
  return std::unique_ptr<LinkReceiver>{
      new LinkReceiver{std::move(description), std::move(decoder).value()}};
}

void LinkReceiver::place(std::vector<LinkReading>&& readings, double time_s,
                         std::vector<TimedReading>& out) {
  const std::size_t before = out.size();
  timer_.stamp(std::move(readings), time_s, out);
  for (std::size_t i = before; i < out.size(); ++i) {
    const std::string& name = out[i].reading.source;
    const bool room = sources_.size() < kMostSources || sources_.count(name) != 0;
    sources_[room ? name : "others"].add(out[i]);
  }
}

void LinkReceiver::remark(const std::string& text) {
  constexpr std::size_t kMost = 16;
  if (text.empty() || remarks_.size() == kMost) return;
  if (std::find(remarks_.begin(), remarks_.end(), text) == remarks_.end()) remarks_.push_back(text);
}

void LinkReceiver::take(const LinkEvent& event, std::vector<TimedReading>& out) {
  std::vector<LinkReading> readings;
  switch (event.kind) {
    case LinkEvent::Kind::opened:
      connected_ = true;
      opened_s_ = last_bytes_s_ = event.time_s;
      if (description_.joins_midway) decoder_->joined_midway();
      return;
    case LinkEvent::Kind::lost:
      connected_ = false;
      ++times_lost_;
      lost_s_ = event.time_s;
      return;
    case LinkEvent::Kind::remark: return remark(event.text);
    case LinkEvent::Kind::ended:
      connected_ = false;
      ended_ = true;
      // A file may lack its last line end; a line that a lost cable cut off would be half a number.
      if (!description_.joins_midway) decoder_->end_of_piece(readings);
      break;
    case LinkEvent::Kind::bytes:
      last_bytes_s_ = event.time_s;
      decoder_->feed(event.text, readings);
      if (description_.pieces_are_whole) decoder_->end_of_piece(readings);
      break;
  }
  place(std::move(readings), event.time_s, out);
}

}  // namespace qn
