// SPDX-License-Identifier: Apache-2.0
#include "app/simulate_link.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "acquire/chunk_source.h"
#include "acquire/link_loop.h"
#include "acquire/monotonic_clock.h"
#include "acquire/pseudo_terminal.h"
#include "app/simulate_sensor.h"

namespace qn {
namespace {

constexpr double kLinger_s = 0.3;  // what is on its way when the port is closed would be lost
constexpr double kLook_s = 0.05;   // how often it is looked whether somebody listens

/// The other side of a link: it sends when its time has come.
class Player : public Transport {
 public:
  Player(const SimulateLinkRequest& request, std::unique_ptr<ChunkSource> source,
         PseudoTerminal& terminal, SimulatedLink& done)
      : request_{request}, source_{std::move(source)}, terminal_{terminal}, done_{done} {}

  const std::string& name() const override { return terminal_.path(); }
  int descriptor() const override { return -1; }
  double due_s() const override { return due_s_; }
  Result<Done> open(double now_s) override {
    due_s_ = now_s;
    next_ = source_->next();
    return Done{};
  }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    if (now_s < due_s_) return;
    if (!started_ && !begin(now_s)) return;
    const double played_s = (now_s - start_s_) * request_.speed;
    if (unplugged_) {
      if (!plug_in(now_s, events)) return;
      // What a sensor says while it is out is gone, however soon the other side is back.
      play(played_s, false);
    }
    if (request_.unplug_after_s && !was_unplugged_ &&
        now_s - start_s_ >= *request_.unplug_after_s) {
      terminal_.unplug();
      unplugged_ = was_unplugged_ = true;
      due_s_ = now_s + request_.unplug_for_s;
      return;
    }
    play(played_s, true);
    if (!next_ && !std::exchange(lingers_, true)) {
      due_s_ = now_s + kLinger_s;
      return;
    }
    if (!next_) {
      events.push_back({LinkEvent::Kind::ended, 0, now_s, ""});
      return;
    }
    due_s_ = start_s_ + next_->time_s / request_.speed;
    if (request_.unplug_after_s && !was_unplugged_) {
      due_s_ = std::min(due_s_, start_s_ + *request_.unplug_after_s);
    }
  }

 private:
  bool begin(double now_s) {
    if (!terminal_.listened_to()) {
      due_s_ = now_s + kLook_s;
      return false;
    }
    started_ = true;
    start_s_ = now_s;
    return true;
  }

  bool plug_in(double now_s, std::vector<LinkEvent>& events) {
    auto plugged = terminal_.plug_in();
    if (!plugged) {
      events.push_back({LinkEvent::Kind::remark, 0, now_s, plugged.error().what});
      due_s_ = now_s + 1.0;
      return false;
    }
    unplugged_ = false;
    if (request_.on_path) request_.on_path(terminal_.path());
    return true;
  }

  void play(double until_s, bool plugged) {
    for (; next_ && next_->time_s <= until_s; next_ = source_->next()) {
      if (next_->kind == LinkEvent::Kind::bytes) send(next_->text, plugged);
      done_.seconds = next_->time_s;
    }
  }

  void send(const std::string& line, bool plugged) {
    // What has no digit is taken for names of columns: any sensor that has them can be asked again.
    if (line.find_first_of("0123456789") == std::string::npos && line.front() != '#') {
      header_ = line;
    }
    const bool listened = plugged && terminal_.listened_to();
    const bool begins = listened && !heard_ && line != header_;
    heard_ = listened;
    const bool sent = listened && terminal_.send(begins ? header_ + line : line);
    ++(sent ? done_.lines_sent : done_.lines_lost);
  }

  const SimulateLinkRequest& request_;
  std::unique_ptr<ChunkSource> source_;
  PseudoTerminal& terminal_;
  SimulatedLink& done_;
  std::optional<LinkEvent> next_;
  std::string header_;
  double start_s_ = 0.0;
  double due_s_ = 0.0;
  bool started_ = false;
  bool heard_ = false;
  bool unplugged_ = false;
  bool was_unplugged_ = false;
  bool lingers_ = false;
};

Error not_one_thing() {
  return {
      ErrorKind::OutOfRange, "it is not clear what to play", "command line",
      "one of --log FILE, --equipment FILE with --out FOLDER, --scenario NAME with --out FOLDER",
      "choose one; nothing was started"};
}

/// The log to play: the one given, or one that is made now.
Result<std::string> log_to_play(const SimulateLinkRequest& request) {
  const int given =
      (request.log_path ? 1 : 0) + (request.disturbance ? 1 : 0) + (request.scenario ? 1 : 0);
  if (given != 1) return not_one_thing();
  if (request.log_path) return *request.log_path;
  if (request.disturbance) {
    if (request.disturbance->folder.empty()) return not_one_thing();
    auto made = simulate_disturbance(*request.disturbance);
    if (!made) return made.error();
    return made.value().log_path;
  }
  if (request.folder.empty()) return not_one_thing();
  auto made = simulate_sensor({*request.scenario, request.seed, request.folder});
  if (!made) return made.error();
  return made.value().log_path;
}

}  // namespace

Result<SimulatedLink> simulate_link(const SimulateLinkRequest& request) {
  if (!(request.speed >= 0.1 && request.speed <= 1000.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("a speed of {}", request.speed),
                 "option --speed", "0.1 to 1000 times", "choose another; nothing was started"};
  }
  const auto log = log_to_play(request);
  if (!log) return log.error();
  auto source = text_log_source(log.value());
  if (!source) return source.error();
  auto terminal = PseudoTerminal::make(request.link_path);
  if (!terminal) return terminal.error();
  const BootClock clock;
  auto loop = LinkLoop::make(clock);
  if (!loop) return loop.error();
  loop.value()->stop_on_signals();
  SimulatedLink done;
  auto added = loop.value()->add(
      std::make_unique<Player>(request, std::move(source).value(), *terminal.value(), done));
  if (!added) return added.error();
  if (request.on_path) request.on_path(terminal.value()->path());
  LinkLoop::Handlers handlers;
  handlers.on_event = [](const LinkEvent&) { return Result<Done>{Done{}}; };
  auto ran = loop.value()->run(handlers);
  if (!ran) return ran.error();
  return done;
}

}  // namespace qn
