// SPDX-License-Identifier: Apache-2.0
//
// Question: is a long run with many devices analysed in the time of a few dozen transforms?
// Budget:   2 h at 100 Hz, 3 axes, 60 devices worked 3 times each, on one core: at most 40 times
//           one real double-precision transform of 720 000 samples by FFTW (FFTW_ESTIMATE), by
//           processor time, in the same run.
// Use:      qn_bench_disturbance [RUNS=5] [PRESET=ordinary]
#include <fftw3.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "procedure/disturbance_result_internal.h"
#include "procedure/disturbance_run.h"
#include "simulate/disturbance_recording_maker.h"
#include "vocab/parallel.h"

namespace {

constexpr std::size_t kSamples = 720000;
constexpr std::size_t kDevices = 60;
constexpr double kRate_Hz = 100.0;
constexpr double kBudget = 40.0;
constexpr std::uint64_t kSeed = 4;

/// Times of one contender. Beside the wall clock the processor time, which other programs on the
/// machine disturb less.
struct Timings {
  std::vector<double> wall, processor;

  template <class Work>
  void take(const Work& work) {
    const std::clock_t busy = std::clock();
    const auto start = std::chrono::steady_clock::now();
    work();
    wall.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    processor.push_back(static_cast<double>(std::clock() - busy) / CLOCKS_PER_SEC);
  }
};

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

/// Dwell and rest fill two hours; what is left over is quiet time at both ends.
qn::simulate::SimulatedRun two_hours(const std::vector<qn::Device>& equipment,
                                     qn::simulate::DisturbanceSettings settings) {
  settings.rate_Hz = kRate_Hz;
  settings.operator_habits.passes = 3;
  settings.operator_habits.dwell_s = {14.0, 30.0};
  settings.operator_habits.rest_s = {6.0, 14.0};
  settings.operator_habits.lead_s = {40.0, 40.0};
  const auto last = [](const qn::simulate::SimulatedRun& made) {
    return made.recording.time_s.back();
  };
  constexpr double kWanted_s = static_cast<double>(kSamples) / kRate_Hz;
  auto made = make_disturbance_run(equipment, settings, kSeed);
  const double lead_s = 40.0 + 0.5 * (kWanted_s + 5.0 - last(made));
  settings.operator_habits.lead_s = {lead_s, lead_s};
  made = make_disturbance_run(equipment, settings, kSeed);
  auto& log = made.recording;
  // Where samples were lost the log ends a little later.
  const std::size_t kept = std::min(kSamples, log.size());
  log.time_s.resize(kept);
  for (auto& axis : log.field) axis.resize(kept);
  for (auto* column : {&log.roll_deg, &log.pitch_deg, &log.current_A, &log.temperature_C}) {
    if (!column->empty()) column->resize(kept);
  }
  return made;
}

/// One transform of the log's first axis, planning not counted.
class Transform {
 public:
  explicit Transform(const std::vector<double>& samples)
      : from_{static_cast<double*>(fftw_malloc(sizeof(double) * kSamples)), fftw_free},
        to_{static_cast<fftw_complex*>(fftw_malloc(sizeof(fftw_complex) * (kSamples / 2 + 1))),
            fftw_free},
        plan_{fftw_plan_dft_r2c_1d(static_cast<int>(kSamples), from_.get(), to_.get(),
                                   FFTW_ESTIMATE | FFTW_PRESERVE_INPUT)} {
    std::fill(from_.get(), from_.get() + kSamples, 0.0);
    std::copy(samples.begin(), samples.end(), from_.get());
    fftw_execute(plan_);  // its memory is there now
  }
  ~Transform() { fftw_destroy_plan(plan_); }
  Transform(const Transform&) = delete;
  Transform& operator=(const Transform&) = delete;

  void run(Timings& timings) const {
    timings.take([this] { fftw_execute(plan_); });
  }

 private:
  std::unique_ptr<double, void (*)(void*)> from_;
  std::unique_ptr<fftw_complex, void (*)(void*)> to_;
  fftw_plan plan_;
};

void print_line(const char* what, const Timings& timings, const Timings& transform) {
  fmt::print("{:<44} {:9.4f} s {:9.4f} s {:8.1f} {:8.1f}\n", what, median(timings.wall),
             median(timings.processor), median(timings.wall) / median(transform.wall),
             median(timings.processor) / median(transform.processor));
}

qn::DisturbanceOptions options_for(const std::vector<qn::Device>& equipment) {
  qn::DisturbanceOptions options;
  options.earth = {20.0, 45.0, 0.13, 0.15, {}, {}, "invented"};
  options.equipment = equipment;
  options.limit = {qn::Angle::degrees(1.0), std::string{qn::kStartingLimitBasis}};
  return options;
}

/// Parts of the analysis by themselves, each timed once a run.
struct Parts {
  Timings series, solving;
};

void time_parts(const qn::simulate::SimulatedRun& made, const qn::DisturbanceOptions& options,
                Parts& parts) {
  namespace inside = qn::disturbance;
  const qn::SensorRecording& log = made.recording;
  parts.series.take([&] { static_cast<void>(inside::prepare_series(log)); });
  auto marked = inside::understand_marks(made.marks, options.equipment, log.time_s.front(),
                                         log.time_s.back());
  inside::Solved solved;
  solved.run = std::move(marked).value();
  parts.solving.take([&] {
    const double matters_uT = 0.1 * options.earth.horizontal_uT * options.limit.value.in_rad();
    inside::solve_run(log, matters_uT, qn::serial_for, solved);
  });
}

bool race(std::size_t runs, const qn::simulate::DisturbanceSettings& settings) {
  const auto equipment = qn::simulate::invented_equipment(kDevices, kSeed);
  const auto made = two_hours(equipment, settings);
  const qn::DisturbanceOptions options = options_for(equipment);
  const Transform transform{made.recording.field[0]};
  Timings analysis, fft;
  Parts parts;
  std::size_t devices = 0;
  for (std::size_t run = 0; run < runs; ++run) {
    for (int i = 0; i < 5; ++i) transform.run(fft);
    analysis.take([&] {
      const auto answer =
          qn::analyse_disturbance(made.recording, made.marks, options, qn::serial_for);
      devices = answer ? answer.value().devices.size() : 0;  // an unsolved one would be quick
    });
    for (int i = 0; i < 5; ++i) transform.run(fft);
    time_parts(made, options, parts);
  }
  fmt::print("{} samples of 3 axes over {:.0f} s, {} devices, {} marks; medians of {} runs\n",
             made.recording.size(), made.recording.time_s.back(), devices, made.marks.size(), runs);
  fmt::print("{:<44} {:>11} {:>11} {:>8} {:>8}\n", "", "wall", "processor", "ratio", "by proc.");
  print_line("FFTW, one real transform of 720 000 samples", fft, fft);
  print_line("the whole analysis, one core", analysis, fft);
  print_line("  of it: samples to pieces, spikes, quantum", parts.series, fft);
  print_line("  of it: that, moments, sizes, pulses, events", parts.solving, fft);
  const double ratio = median(analysis.processor) / median(fft.processor);
  fmt::print("ratio: {:.1f} by processor time (at most {:.0f})\n", ratio, kBudget);
  return devices == kDevices && ratio <= kBudget;
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t runs = argc > 1 ? std::max(1UL, std::strtoul(argv[1], nullptr, 10)) : 5;
  const auto settings = qn::simulate::disturbance_preset(argc > 2 ? argv[2] : "ordinary");
  if (!settings) {
    fmt::print("there is no preset '{}'\n", argv[2]);
    return 2;
  }
  const bool fast = race(runs, *settings);
  if (!fast) fmt::print("slower than the budget, or not all devices were solved\n");
  return fast ? 0 : 1;
}
