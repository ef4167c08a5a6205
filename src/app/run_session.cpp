// SPDX-License-Identifier: Apache-2.0
#include "app/run_session.h"

#include <fmt/format.h>

#include <utility>

namespace qn {
namespace {

const StateEffect* state_named(const DeviceEffect& device, const std::string& name) {
  for (const StateEffect& state : device.states) {
    if (state.state == name) return &state;
  }
  return nullptr;
}

constexpr Vector3 kIron_uT{2.4, -1.7, 0.9};  // of a rehearsal's aircraft that is turned

std::string iron_text(const Vector3& iron_uT, const FitDocument& document) {
  std::string text =
      fmt::format("Truth: iron of {:.2f}, {:.2f}, {:.2f} uT turns with the sensor.\n", iron_uT[0],
                  iron_uT[1], iron_uT[2]);
  if (!document.fit.correction) return text + "The answer has no correction.\n";
  const Vector3& found = document.fit.correction->offset_uT;
  return text +
         fmt::format("Answer: offset {:.2f}, {:.2f}, {:.2f} uT.\n", found[0], found[1], found[2]);
}

std::string swing_truth_text(const SwingDocument& document, const SimulatedReader& reader) {
  std::string text = "Truth beside the answer (largest deviation, degrees):\n";
  std::size_t bands = 0, hold = 0;
  for (const SwingCompass& compass : document.swing.compasses) {
    const double truth = reader.worst_deviation_deg(compass.name, compass.loads == "on");
    text += fmt::format("  {:<24} {:<10} truth {:6.2f}", compass.name,
                        compass.loads.empty() ? "" : "loads " + compass.loads, truth);
    if (!compass.solved) {
      text += "   not solved\n";
      continue;
    }
    const auto [lo, hi] = compass.worst_95_deg;
    const bool holds = truth >= lo && truth <= hi;
    ++bands;
    hold += holds ? 1 : 0;
    text += fmt::format("   {:6.2f}, band {:.2f} to {:.2f}{}\n", compass.worst_deviation_deg, lo,
                        hi, holds ? "" : "   (misses it)");
  }
  text += fmt::format("  {} of {} bands hold the truth.\n", hold, bands);
  const std::string misread = reader.misreading();
  return text + (misread.empty() ? "" : "  Misread: " + misread + ".\n");
}

std::optional<Error> fault_of(const RehearsalRequest& rehearsal, const RunSetup& setup) {
  const bool swing = setup.procedure == RunSetup::Procedure::swing;
  if (!setup.links.empty() || setup.swing.from_link) {
    return Error{ErrorKind::OutOfRange, "links are named, and a rehearsal as well",
                 "options --link and --rehearse", "one of the two",
                 "leave one out; nothing was begun"};
  }
  if (swing && !rehearsal.answers) {
    return Error{ErrorKind::OutOfRange, "nobody else can see the made-up compasses",
                 "option --rehearse", "--auto with it",
                 "add --auto, or type readings of your own without --rehearse"};
  }
  if (swing && !(rehearsal.speed >= 1.0 && rehearsal.speed <= 100.0)) {
    return Error{ErrorKind::OutOfRange, fmt::format("a speed of {}", rehearsal.speed),
                 "option --speed", "1 to 100 times", "choose another; nothing was begun"};
  }
  return std::nullopt;
}

/// The field of the made-up aircraft, where nobody says another.
void fill_in_field(DisturbanceRequest& request, const SimulatedBench& bench) {
  if (request.at || request.on || request.horizontal_uT || request.vertical_uT) return;
  request.horizontal_uT = bench.horizontal_uT();
  request.vertical_uT = bench.vertical_uT();
}

}  // namespace

Result<std::unique_ptr<RunSession>> RunSession::open(RunSessionRequest request) {
  std::unique_ptr<RunSession> session{new RunSession};
  LiveRunRequest& run = request.run;
  const bool swing = run.setup.procedure == RunSetup::Procedure::swing;
  if (request.rehearsal) {
    if (auto fault = fault_of(*request.rehearsal, run.setup)) return std::move(*fault);
    if (auto made = swing ? Result<Done>{Done{}} : session->make_bench(request); !made) {
      return made.error();
    }
    run.links.clock_speed = request.rehearsal->speed;
  }
  auto live = LiveRun::open(run);
  if (!live) return live.error();
  session->live_ = std::move(live).value();
  if (request.rehearsal && swing) {
    session->reader_ = std::make_unique<SimulatedReader>(*session->live_, request.rehearsal->seed,
                                                         request.rehearsal->speed);
  } else if (request.rehearsal) {
    session->hand_ = std::make_unique<SimulatedHand>(
        *session->live_, *session->bench_,
        HandOptions{request.rehearsal->speed, request.rehearsal->answers, request.rehearsal->seed});
  }
  return session;
}

Result<Done> RunSession::make_bench(RunSessionRequest& request) {
  LiveRunRequest& run = request.run;
  BenchOptions options;
  {
    const auto book = Book::open_read_only(run.book_path);
    if (!book) return book.error();
    auto equipment = book.value().equipment();
    if (!equipment) return equipment.error();
    options.equipment = std::move(equipment).value();
  }
  options.seed = request.rehearsal->seed;
  options.speed = request.rehearsal->speed;
  options.absent = request.rehearsal->absent;
  if (run.setup.procedure == RunSetup::Procedure::sensor) options.iron_uT = kIron_uT;
  auto bench = SimulatedBench::make(options);
  if (!bench) return bench.error();
  bench_ = std::move(bench).value();
  run.setup.links = {{bench_->link(), {}}};
  fill_in_field(run.setup.analysis, *bench_);
  return Done{};
}

std::string RunSession::truth_text() const {
  const auto answered = live_->answered();
  if (!answered) return {};
  if (reader_ && answered->swing) return swing_truth_text(*answered->swing, *reader_);
  if (!bench_) return {};
  if (answered->fit) return iron_text(bench_->iron_uT(), *answered->fit);
  std::string text = "Truth beside the answer (worst heading error, degrees):\n";
  std::size_t bands = 0, hold = 0;
  for (const SimulatedBench::Truth& truth : bench_->truth()) {
    text += fmt::format("  {:<24} {:<10} truth {:6.2f}", truth.device, truth.state,
                        truth.worst_heading_error_deg);
    const StateEffect* found = nullptr;
    for (const DeviceEffect& device : answered->disturbance->run.devices) {
      if (device.name == truth.device) found = state_named(device, truth.state);
    }
    if (found == nullptr) {
      text += "   not worked\n";
      continue;
    }
    const double lo = found->heading.worst_95.lo.in_deg(), hi = found->heading.worst_95.hi.in_deg();
    const bool holds = truth.worst_heading_error_deg >= lo && truth.worst_heading_error_deg <= hi;
    ++bands;
    hold += holds ? 1 : 0;
    text += fmt::format("   {:6.2f}, band {:.2f} to {:.2f}{}\n", found->heading.worst.in_deg(), lo,
                        hi, holds ? "" : "   (misses it)");
  }
  return text + fmt::format("  {} of {} bands hold the truth.\n", hold, bands);
}

}  // namespace qn
