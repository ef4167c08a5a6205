// SPDX-License-Identifier: Apache-2.0
#include "app/record_links.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "app/utc_now.h"

namespace qn {
namespace {

class FileSink : public ChunkSink {
 public:
  explicit FileSink(std::unique_ptr<LinkRecordingWriter> writer) : writer_{std::move(writer)} {}
  Result<Done> add_link(const LinkDescription& link) override { return writer_->describe(link); }
  Result<Done> add(const LinkEvent& event) override { return writer_->add(event); }
  Result<Done> flush(double) override { return writer_->flush(); }

 private:
  std::unique_ptr<LinkRecordingWriter> writer_;
};

}  // namespace

Result<std::unique_ptr<ChunkSink>> file_chunk_sink(const std::string& path) {
  auto writer = LinkRecordingWriter::create(path);
  if (!writer) return writer.error();
  // The only look at the calendar clock: a label for people, no sample depends on it.
  if (auto stamped = writer.value()->set_utc(utc_now()); !stamped) return stamped.error();
  return std::unique_ptr<ChunkSink>{std::make_unique<FileSink>(std::move(writer).value())};
}

Result<RecordedLinks> record_links(const RecordRequest& request) {
  // Links first: a name typed wrongly should not leave an empty recording behind.
  auto opened = LiveLinks::open(request.links, request.options);
  if (!opened) return opened.error();
  LiveLinks& live = *opened.value();
  auto sink = file_chunk_sink(request.path);
  if (!sink) return sink.error();
  live.stop_on_signals();

  RecordedLinks out;
  LiveLinks::Handlers handlers;
  handlers.sink = sink.value().get();
  handlers.on_event = [&](const LinkEvent& event) {
    out.seconds = std::max(out.seconds, event.time_s);
    if (request.on_event) request.on_event(event);
  };
  if (request.seconds) handlers.tick_s = std::min(1.0, *request.seconds);
  handlers.on_tick = [&](double now_s) -> Result<Done> {
    if (request.on_tick) request.on_tick(link_reports(live, now_s, {}), now_s);
    if (request.seconds && live.now_s() >= *request.seconds) live.stop();
    return Done{};
  };
  const auto ran = live.run(handlers);
  if (!ran) {
    Error error = ran.error();
    error.what += fmt::format(" (the recording is whole until second {:.1f})", out.seconds);
    return error;
  }
  out.links = link_reports(live, out.seconds, {});
  if (request.csv_path) {
    auto log = decode_link_recording(request.path, *request.csv_path, request.csv);
    if (!log) return log.error();
    out.log = std::move(log).value();
  }
  return out;
}

}  // namespace qn
