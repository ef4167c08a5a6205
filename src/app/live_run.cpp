// SPDX-License-Identifier: Apache-2.0
#include "app/live_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <utility>

#include "app/codec_equipment.h"
#include "app/codec_run_event.h"
#include "app/link_report.h"
#include "app/place.h"
#include "app/run_anchor.h"
#include "app/utc_now.h"

namespace qn {
namespace {

constexpr const char* kTyped = "typed";
constexpr const char* kAnchor = "anchor";  // an entry for the clock, not for the engine
constexpr double kRetold_s = 0.25;         // words that count seconds
constexpr std::size_t kLongestKey = 64;
constexpr double kFieldIsDue_s = 8.0;

std::string no_field_words(const RunSetup& setup) {
  if (setup.procedure == RunSetup::Procedure::swing) {
    return "No magnetic heading has come yet: type what it shows, or look with 'quietnorth link "
           "watch'.";
  }
  return setup.procedure == RunSetup::Procedure::disturbance
             ? "No magnetic field in microtesla has come yet, and a run cannot be led by a heading "
               "or by counts alone: look with 'quietnorth link watch', or name the columns."
             : "No magnetic field has come yet: look with 'quietnorth link watch', or name the "
               "columns.";
}

RunLink link_of(const LinkReport& report) {
  RunLink link{
      report.link, report.address, report.connected, report.address == "typed", report.silent_s,
      0.0,         report.wrong};
  for (const SourceReport& source : report.sources) {
    link.rate_Hz = std::max(link.rate_Hz, source.rate_Hz);
  }
  return link;
}

/// A link brings the heading of one compass; which one must be said, and the other way round.
std::optional<Error> fault_of_links(const RunSetup& setup) {
  const bool speaks = std::any_of(setup.links.begin(), setup.links.end(),
                                  [](const LinkRequest& link) { return link.address != kTyped; });
  if (speaks == setup.swing.from_link.has_value()) return std::nullopt;
  return Error{
      ErrorKind::OutOfRange,
      speaks ? "a link is named, and no compass that it speaks for"
             : "a compass is to be taken from a link, and none is named",
      "options --link and --from-link", "both, or neither",
      speaks ? "say --from-link NAME; nothing was begun" : "say --link ADDRESS; nothing was begun"};
}

Error no_equipment(const std::string& book) {
  return {ErrorKind::BadInput, "the book has no equipment list", book,
          "the devices that are to be worked",
          "put it in with 'quietnorth book equipment " + book + " EQUIPMENT.csv'"};
}

Error nothing_to_go_on_with(const std::string& book) {
  return {ErrorKind::BadInput, "no run is unfinished", book, "a run that was broken off",
          "begin a new one"};
}

std::vector<LinkDescription> descriptions_of(const LiveLinks& live) {
  std::vector<LinkDescription> links;
  for (std::size_t link = 1; link <= live.size(); ++link) {
    links.push_back(live.receiver(link).description());
  }
  return links;
}

}  // namespace

Result<std::unique_ptr<LiveRun>> LiveRun::open(LiveRunRequest request) {
  auto book = Book::open(request.book_path);
  if (!book) return book.error();
  std::unique_ptr<LiveRun> run{new LiveRun};
  run->book_ = std::make_shared<SharedBook>(std::move(book).value());
  auto ready = request.go_on ? run->resume(request) : run->begin(request);
  if (!ready) return ready.error();
  const auto head = run->book_->book.head();
  if (!head) return head.error();
  run->view_.run = run->run_id();
  run->view_.procedure = to_word(run->setup_.procedure);
  run->view_.aircraft = head.value().aircraft;
  run->view_.devices = run->engine_->state().plan->devices;
  run->retell(run->now_s());
  return run;
}

LiveRun::~LiveRun() = default;

Result<Done> LiveRun::begin(const LiveRunRequest& request) {
  Book& book = book_->book;
  const std::string name = std::filesystem::path{request.book_path}.filename().string();
  const auto equipment = book.equipment();
  if (!equipment) return equipment.error();
  setup_ = request.setup;
  if (setup_.procedure == RunSetup::Procedure::disturbance) {
    if (equipment.value().empty()) return no_equipment(name);
    setup_.equipment_csv = equipment_csv(equipment.value());
  }
  const auto head = book.head();
  if (!head) return head.error();
  if (setup_.analysis.aircraft.empty()) setup_.analysis.aircraft = head.value().aircraft;
  if (setup_.procedure == RunSetup::Procedure::swing) {
    if (setup_.links.empty()) setup_.links = {{kTyped, {}}};
    if (auto fault = fault_of_links(setup_)) return std::move(*fault);
  }
  const auto plan = run_plan_of(setup_);
  if (!plan) return plan.error();
  // Needed at the end only; but nobody is to be led to an end that has no answer.
  const DisturbanceRequest& field = setup_.analysis;
  const bool knows_place = field.at || field.on || field.horizontal_uT || field.vertical_uT;
  if (setup_.procedure != RunSetup::Procedure::swing || knows_place) {
    const auto earth = local_field_from(field.at, field.on, field.horizontal_uT, field.vertical_uT);
    if (!earth) return earth.error();
  }
  auto live = LiveLinks::open(setup_.links, request.links);
  if (!live) return live.error();
  live_ = std::move(live).value();

  const std::string procedure = to_word(setup_.procedure);
  NewRecording recording{procedure + " run", utc_now(), std::nullopt, "", {}};
  for (const LinkRequest& link : setup_.links) {
    recording.links.push_back({link.address, link.address, std::nullopt});
  }
  const auto id = start_book_recording(book, recording, descriptions_of(*live_));
  if (!id) return id.error();
  recording_ = id.value();
  view_.started_utc = recording.started_utc;
  const auto run = book.start_run({procedure, recording_, recording.started_utc, to_json(setup_)});
  if (!run) return run.error();
  run_ = run.value();
  if (auto ready = lead(plan.value(), {}); !ready) return ready;
  const double now = live_->now_s();
  const auto anchored = book.append_event(run_, {now, kAnchor, to_json(anchor_now(now)), ""});
  if (!anchored) return anchored.error();
  return Done{};
}

Result<Done> LiveRun::resume(const LiveRunRequest& request) {
  Book& book = book_->book;
  const auto runs = book.runs();
  if (!runs) return runs.error();
  const auto last = std::find_if(runs.value().rbegin(), runs.value().rend(), [](const auto& run) {
    return run_procedure_from(run.head.procedure) && !run.ended_s && run.head.recording;
  });
  if (last == runs.value().rend()) {
    return nothing_to_go_on_with(std::filesystem::path{request.book_path}.filename().string());
  }
  run_ = last->id;
  recording_ = *last->head.recording;
  view_.started_utc = last->head.started_utc;
  auto setup = run_setup_from(last->head.plan);
  if (!setup) return setup.error();
  setup_ = std::move(setup).value();
  // The bytes of a recording are read in one way; only where they come from may have changed.
  for (std::size_t i = 0; i < std::min(setup_.links.size(), request.setup.links.size()); ++i) {
    setup_.links[i].address = request.setup.links[i].address;
  }
  const auto records = book.events(run_);
  if (!records) return records.error();
  std::vector<run::Event> journal;
  RunAnchor anchor;
  double last_s = 0.0;
  for (const RunEvent& record : records.value()) {
    last_s = std::max(last_s, record.time_s);
    if (record.kind == kAnchor) {
      anchor = run_anchor_from(record.payload);
      continue;
    }
    auto event = run_event_from(record);
    if (!event) return event.error();
    journal.push_back(std::move(event).value());
  }
  const auto complete = book.complete_until_s(recording_);
  if (!complete) return complete.error();
  view_.kept_until_s = complete.value().value_or(0.0);
  last_s = std::max(last_s, view_.kept_until_s);
  const auto plan = run_plan_of(setup_);
  if (!plan) return plan.error();
  auto live = LiveLinks::open(setup_.links, request.links);
  if (!live) return live.error();
  live_ = std::move(live).value();
  from_s_ = recording_time_now(anchor, last_s);
  later_s_ = from_s_ - live_->now_s();
  if (auto ready = lead(plan.value(), journal); !ready) return ready;
  const double now = now_s();
  const auto anchored = book.append_event(run_, {now, kAnchor, to_json(anchor_now(now)), ""});
  if (!anchored) return anchored.error();
  if (auto taken = take_one(run::said(run::EventKind::gap, now)); !taken) return taken;
  return weigh();  // it may have ended between a reading and what it leads to
}

Result<Done> LiveRun::lead(const std::shared_ptr<const run::Plan>& plan,
                           const std::vector<run::Event>& journal) {
  engine_ = std::make_unique<run::Engine>(plan, journal);
  if (setup_.procedure != RunSetup::Procedure::swing) return Done{};
  auto solving = swing_options_of(swing_reading_of(setup_));
  if (!solving) return solving.error();
  swing_teller_.emplace(std::move(solving).value());
  return Done{};
}

Result<Done> LiveRun::take_one(const run::Event& event) {
  {
    const std::lock_guard lock{book_->mutex};
    const auto kept = book_->book.append_event(run_, to_record(event));
    if (!kept) return kept.error();
  }
  if (engine_->apply(event) && on_applied) on_applied(event, engine_->state());
  return Done{};
}

Result<Done> LiveRun::take_events(const std::vector<run::Event>& events) {
  for (const run::Event& event : events) {
    if (auto taken = take_one(event); !taken) return taken;
    if (auto done = weigh(); !done) return done;
  }
  return Done{};
}

Result<Done> LiveRun::weigh() {
  for (const run::Event& event : engine_->weigh()) {
    if (auto taken = take_one(event); !taken) return taken;
  }
  return Done{};
}

bool LiveRun::retell(double now_s) {
  const std::uint64_t before = view_.version;
  if (swing_teller_) swing_teller_->tell(engine_->state(), view_.swing);
  teller_.tell(engine_->state(), now_s, view_);
  last_told_s_ = now_s;
  return view_.version != before;
}

void LiveRun::told(bool view, bool trace) {
  if (!view && !trace) return;
  const std::lock_guard lock{listeners_mutex_};
  for (const auto& [id, listener] : listeners_) {
    if (view && listener.on_view) listener.on_view();
    if (trace && listener.on_trace) listener.on_trace();
  }
}

/// Whether the procedure can do something with it.
bool LiveRun::is_of_use(const LinkReading& reading) const {
  if (setup_.procedure == RunSetup::Procedure::swing) {
    return setup_.swing.from_link && std::isfinite(reading.heading_deg) &&
           reading.heading_north != HeadingNorth::true_north;
  }
  // A fit solves the scale of counts; what a device does cannot be told in them.
  const bool counts = reading.field_unit == FieldUnit::counts;
  return reading.has_field() && !(counts && setup_.procedure == RunSetup::Procedure::disturbance);
}

std::vector<run::Event> LiveRun::hear(double time_s, const LinkReading& reading) {
  if (setup_.procedure == RunSetup::Procedure::swing) {
    return engine_->listen(time_s, reading.heading_deg);
  }
  return engine_->listen(time_s, reading.field);
}

void LiveRun::on_reading(std::size_t link, const TimedReading& timed) {
  const LinkReading& reading = timed.reading;
  if (!is_of_use(reading)) return;
  bool view = false, trace = false;
  {
    const std::lock_guard lock{mutex_};
    if (!field_source_) field_source_.emplace(link, reading.source);
    if (*field_source_ != std::pair{link, reading.source} || failed_) return;
    const double time_s = timed.time_s + later_s_;
    if (reading.has_field()) trace = trace_.add(time_s, reading.field);
    if (!engine_->over()) {
      const auto events = hear(time_s, reading);
      if (auto taken = take_events(events); !taken) failed_ = taken.error();
      view = !events.empty();
    }
    if (view || time_s - last_told_s_ > kRetold_s) view = retell(std::max(time_s, now_s()));
  }
  told(view, trace);
}

Result<Done> LiveRun::on_tick(double links_s) {
  {
    const std::lock_guard lock{mutex_};
    if (failed_) return *failed_;
    const double now = links_s + later_s_;
    if (!engine_->over()) {
      if (auto taken = take_events(engine_->time_is(now)); !taken) return taken;
    }
    view_.links.clear();
    const bool swing = setup_.procedure == RunSetup::Procedure::swing;
    for (const LinkReport& report : link_reports(*live_, links_s, std::nullopt)) {
      // The readings of a swing are answers; its link for typed ones is there for want of another.
      if (!(swing && report.address == kTyped)) view_.links.push_back(link_of(report));
    }
    const bool waits_for_link = !swing || setup_.swing.from_link;
    // Without this the run would rest for ever, and nobody would know why.
    if (waits_for_link && !view_.links.empty() && !field_source_ && links_s > kFieldIsDue_s &&
        !engine_->over()) {
      view_.links.front().wrong.insert(view_.links.front().wrong.begin(), no_field_words(setup_));
    }
    view_.kept_until_s = now;  // the sink was flushed just before
    retell(now);
    if (engine_->over()) live_->stop();
  }
  told(true, false);
  return Done{};
}

Result<Done> LiveRun::run() {
  const auto sink = book_chunk_sink(book_, recording_, later_s_, from_s_);
  LiveLinks::Handlers handlers;
  handlers.sink = sink.get();
  handlers.on_reading = [&](std::size_t link, const TimedReading& timed) {
    on_reading(link, timed);
  };
  handlers.on_tick = [&](double now_s) { return on_tick(now_s); };
  auto ran = live_->run(handlers);
  bool over = false;
  {
    const std::lock_guard lock{mutex_};
    if (ran && failed_) ran = *failed_;
    over = engine_->over();
  }
  if (ran && over) ran = finish();
  if (!ran) {
    const std::lock_guard lock{mutex_};
    if (!view_.answer) view_.answer.emplace();
    view_.answer->state = RunAnswerNews::State::failed;
    view_.answer->error = ran.error();
    retell(now_s());
  }
  told(true, false);
  return ran;
}

Result<Done> LiveRun::finish() {
  run::State state;
  {
    const std::lock_guard lock{mutex_};
    state = engine_->state();
    view_.answer.emplace();
    retell(now_s());
  }
  told(true, false);
  // Not under mutex_, which an answer holds while it waits for the book.
  const double ended_s = now_s();
  std::shared_ptr<const RunFiles> files;
  std::shared_ptr<const RunAnswered> answered;
  {
    const std::lock_guard lock{book_->mutex};
    Book& book = book_->book;
    if (auto ended = book.end_recording(recording_, ended_s); !ended) return ended;
    auto made = files_of_run(book, recording_, setup_, state);
    if (!made) return made.error();
    files = std::make_shared<const RunFiles>(std::move(made).value());
    auto worked = answer_of_run(book, recording_, run_, setup_, *files);
    // Last: a run that was broken off before its answer was kept is gone on with, and answered
    // then.
    const bool for_good = worked || worked.error().kind == ErrorKind::BadInput ||
                          worked.error().kind == ErrorKind::OutOfRange;
    if (for_good) {
      if (auto ended = book.end_run(run_, ended_s); !ended) return ended;
    }
    if (!worked) return worked.error();
    answered = std::make_shared<const RunAnswered>(std::move(worked).value());
  }
  const std::lock_guard lock{mutex_};
  view_.answer->state = RunAnswerNews::State::done;
  view_.answer->verdict = answered->verdict;
  view_.answer->sentence = answered->sentence;
  view_.answer->finding = answered->finding;
  files_ = std::move(files);
  answered_ = std::move(answered);
  retell(now_s());
  return Done{};
}

void LiveRun::leave() { live_->stop(); }
void LiveRun::stop_on_signals() { live_->stop_on_signals(); }

Result<RunView> LiveRun::answer(const RunAnswer& answer) {
  if (answer.key.size() > kLongestKey) {
    return Error{ErrorKind::OutOfRange, fmt::format("a key of {} characters", answer.key.size()),
                 "answer, key", fmt::format("up to {} characters", kLongestKey),
                 "send the answer with a shorter key; nothing was changed"};
  }
  if (answer.at_s && !std::isfinite(*answer.at_s)) {
    return Error{ErrorKind::OutOfRange, "a moment that is no number", "answer, at_s",
                 "seconds of the recording", "send the moment again; nothing was changed"};
  }
  if (answer.kind == run::EventKind::reading &&
      !(answer.number && *answer.number >= 0.0 && *answer.number <= 360.0)) {
    return Error{ErrorKind::OutOfRange,
                 answer.number ? fmt::format("a compass cannot show {:g}", *answer.number)
                               : std::string{"a reading without its number"},
                 "answer, number", "a heading from 0 to 360 degrees",
                 "send the reading again; nothing was changed"};
  }
  RunView view;
  {
    const std::lock_guard lock{mutex_};
    const double now = std::max(now_s(), engine_->state().now_s);
    run::Event event = run::said(answer.kind, now, answer.key);
    event.at_s = std::clamp(answer.at_s.value_or(now), 0.0, now);
    event.device = answer.device;
    event.state = answer.state;
    event.number = answer.number.value_or(0.0);
    if (engine_->over() && answer.kind != run::EventKind::stop) return view_;
    if (auto taken = take_events({event}); !taken) return taken.error();
    retell(now);
    view = view_;
  }
  if (view.phase == run::State::Phase::over) live_->stop();
  told(true, false);
  return view;
}

RunView LiveRun::view() const {
  const std::lock_guard lock{mutex_};
  RunView view = view_;
  if (!view.answer) view.now_s = now_s();
  return view;
}

LiveTrace LiveRun::trace(double last_s) const {
  const std::lock_guard lock{mutex_};
  return trace_.last(last_s);
}

std::vector<Mark> LiveRun::marks() const {
  const std::lock_guard lock{mutex_};
  return engine_->marks();
}

std::shared_ptr<const RunFiles> LiveRun::files() const {
  const std::lock_guard lock{mutex_};
  return files_;
}

std::shared_ptr<const RunAnswered> LiveRun::answered() const {
  const std::lock_guard lock{mutex_};
  return answered_;
}

std::function<void()> LiveRun::listen(Listener listener) {
  const std::lock_guard lock{listeners_mutex_};
  const std::uint64_t id = ++next_listener_;
  listeners_[id] = std::move(listener);
  return [this, id] {
    const std::lock_guard held{listeners_mutex_};
    listeners_.erase(id);
  };
}

void LiveRun::set_ids(const RunAnswerIds& ids) {
  {
    const std::lock_guard lock{mutex_};
    if (!view_.answer) return;
    view_.answer->ids = ids;
    retell(view_.now_s);
  }
  told(true, false);
}

Result<std::string> LiveRun::with_book(const UseOfBook& use) {
  const std::lock_guard lock{book_->mutex};
  return use(book_->book);
}

}  // namespace qn
