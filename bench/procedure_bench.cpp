// SPDX-License-Identifier: Apache-2.0
//
// Question: is a sensor solved much faster than a general solver solves the very same problem, and
//           does the time grow no faster than the recording?
// Budget:   a million samples of a tumble in at most 1/15 of the time of Ceres with automatic
//           derivatives (DENSE_QR, two threads, same start, same final cost to 1e-6 relative); the
//           whole fit of 1e7 samples costs no more per sample than that of 1e4.
// Use:      qn_bench_procedure [SAMPLES=1000000] [RUNS=5] [LARGEST=10000000]
#include <ceres/ceres.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <random>
#include <vector>

#include "app/parallel.h"
#include "procedure/sensor_fit.h"
#include "procedure/sensor_solve_internal.h"

namespace {

using qn::Vector3;
namespace model = qn::sensor_model;

constexpr double kNoise_uT = 0.3;
constexpr double kRate_Hz = 50.0;
constexpr double kBudget = 15.0;
constexpr double kSameCost = 1e-6;  // also Ceres' own default tolerance
constexpr int kParameters = 11;     // six of the symmetric matrix, three of the offset, H and Z

qn::LocalField earth() {
  qn::LocalField field;
  field.horizontal_uT = 20.0;
  field.down_uT = 44.0;
  field.sigma_horizontal_uT = 0.13;
  field.sigma_down_uT = 0.16;
  field.source = "invented";
  return field;
}

/// The field's direction wanders over the whole sphere, along a path that does not close; an
/// invented sensor bends and shifts it, and every axis has white noise.
qn::SensorRecording tumble(std::size_t samples) {
  qn::SensorRecording recording;
  recording.time_s.resize(samples);
  for (auto& axis : recording.field) axis.resize(samples);
  std::mt19937_64 random{11};
  std::normal_distribution<double> noise{0.0, kNoise_uT};
  constexpr std::array<Vector3, 3> kBend{Vector3{1.06, 0.03, -0.02}, Vector3{0.03, 0.94, 0.04},
                                         Vector3{-0.02, 0.04, 1.01}};
  constexpr Vector3 kShift_uT{14.0, -22.0, 9.0};
  const double F = earth().total_uT();
  for (std::size_t k = 0; k < samples; ++k) {
    const double t = static_cast<double>(k) / kRate_Hz;
    const double up = std::sin(0.731 * t);
    const double across = std::sqrt(std::max(0.0, 1.0 - up * up));
    const Vector3 field{F * across * std::cos(1.173 * t), F * across * std::sin(1.173 * t), F * up};
    recording.time_s[k] = t;
    for (std::size_t i = 0; i < 3; ++i) {
      recording.field[i][k] = kBend[i][0] * field[0] + kBend[i][1] * field[1] +
                              kBend[i][2] * field[2] + kShift_uT[i] + noise(random);
    }
  }
  recording.tally.rows = samples;
  recording.tally.median_interval_s = 1.0 / kRate_Hz;
  return recording;
}

/// What both solve: distance of every sample to the ellipsoid, and the prior of a plain tumble.
struct Task {
  model::Log log;
  model::Problem problem;
  model::Parameters start;
};

Task plain_task(const qn::SensorRecording& recording) {
  Task task;
  task.log.time_s = recording.time_s;
  task.log.m = recording.field;
  task.log.use.assign(recording.size(), 1);
  task.problem.layout = model::Layout::make(model::Layout::Symmetry::all, false, false, false);
  model::PriorInput input;
  input.horizontal = earth().horizontal_uT;
  input.down = earth().down_uT;
  input.sigma_horizontal = earth().sigma_horizontal_uT;
  input.sigma_down = earth().sigma_down_uT;
  task.problem.prior = model::make_prior(task.problem.layout, input);
  task.start = task.problem.prior.mean;
  for (std::size_t i = 0; i < 3; ++i) {
    const auto [low, high] = std::minmax_element(task.log.m[i].begin(), task.log.m[i].end());
    task.start[static_cast<std::size_t>(task.problem.layout.offset) + i] = 0.5 * (*low + *high);
  }
  return task;
}

/// The surface |M m - b| = F seen from a reading: how far away and which way.
template <class T>
struct Seen {
  T distance;
  std::array<T, 3> along;
};

/// The residual of one sample as src/procedure/sensor_model.cpp has it for a tumble without
/// attitude, written for automatic derivatives.
struct DistanceToEllipsoid {
  Vector3 m;

  template <class T>
  static Seen<T> look(const std::array<T, 3>& m, const T* p, const T& F, const T& trace) {
    using std::sqrt;
    const T x0 = p[0] * m[0] + p[1] * m[1] + p[2] * m[2] - p[6];
    const T x1 = p[1] * m[0] + p[3] * m[1] + p[4] * m[2] - p[7];
    const T x2 = p[2] * m[0] + p[4] * m[1] + p[5] * m[2] - p[8];
    const T size = sqrt(x0 * x0 + x1 * x1 + x2 * x2);
    const T one_over_size = 1.0 / size;
    const T u0 = x0 * one_over_size;
    const T u1 = x1 * one_over_size;
    const T u2 = x2 * one_over_size;
    const T g0 = u0 * p[0] + u1 * p[1] + u2 * p[2];
    const T g1 = u0 * p[1] + u1 * p[3] + u2 * p[4];
    const T g2 = u0 * p[2] + u1 * p[4] + u2 * p[5];
    const T steep_squared = g0 * g0 + g1 * g1 + g2 * g2;
    const T one_over_steep = 1.0 / sqrt(steep_squared);
    const T bias = (kNoise_uT * kNoise_uT) * (trace - steep_squared) / (2.0 * F);
    return {(size - bias - F) * one_over_steep,
            {g0 * one_over_steep, g1 * one_over_steep, g2 * one_over_steep}};
  }

  template <class T>
  bool operator()(const T* p, T* residual) const {
    using std::sqrt;
    const T F = sqrt(p[9] * p[9] + p[10] * p[10]);
    const T trace =
        p[0] * p[0] + p[3] * p[3] + p[5] * p[5] + 2.0 * (p[1] * p[1] + p[2] * p[2] + p[4] * p[4]);
    const Seen<T> first = look<T>({T(m[0]), T(m[1]), T(m[2])}, p, F, trace);
    const std::array<T, 3> moved{first.distance * first.along[0], first.distance * first.along[1],
                                 first.distance * first.along[2]};
    const Seen<T> at = look<T>({m[0] - moved[0], m[1] - moved[1], m[2] - moved[2]}, p, F, trace);
    residual[0] =
        (at.distance + at.along[0] * moved[0] + at.along[1] * moved[1] + at.along[2] * moved[2]) *
        (1.0 / kNoise_uT);
    return true;
  }
};

/// The prior of this task is diagonal.
struct PriorResidual {
  const model::Prior& prior;

  template <class T>
  bool operator()(const T* p, T* residual) const {
    for (std::size_t i = 0; i < kParameters; ++i) {
      residual[i] = (p[i] - prior.mean[i]) * std::sqrt(prior.precision(i, i));
    }
    return true;
  }
};

/// Times of one contender. Beside the wall clock the processor time of all its threads, which other
/// programs on the machine disturb less.
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

struct Answer {
  model::Parameters theta;
  double cost = 0.0;  // sum of squares, prior included
};

Answer solve_ours(const Task& task, const qn::ParallelFor& parallel, Timings& timings) {
  Answer answer{task.start};
  const qn::NoiseModel white{kNoise_uT * kNoise_uT, 0.0, 0.0};
  timings.take([&] {
    answer.cost = model::iterate(task.log, task.problem, answer.theta, white, white, parallel);
  });
  return answer;
}

/// tolerance  Ceres stops when a step changes the cost by less than this share. Its default is what
///            is raced, although it stops short of the minimum: a stricter one would cost it more.
Answer solve_by_ceres(const Task& task, double tolerance, Timings& building, Timings& solving,
                      int& steps) {
  Answer answer{task.start};
  ceres::Problem problem;
  building.take([&] {
    problem.AddParameterBlock(answer.theta.data(), kParameters);
    for (std::size_t k = 0; k < task.log.size(); ++k) {
      const Vector3 m{task.log.m[0][k], task.log.m[1][k], task.log.m[2][k]};
      problem.AddResidualBlock(new ceres::AutoDiffCostFunction<DistanceToEllipsoid, 1, kParameters>(
                                   new DistanceToEllipsoid{m}),
                               nullptr, answer.theta.data());
    }
    problem.AddResidualBlock(
        new ceres::AutoDiffCostFunction<PriorResidual, kParameters, kParameters>(
            new PriorResidual{task.problem.prior}),
        nullptr, answer.theta.data());
  });
  ceres::Solver::Options options;
  options.linear_solver_type = ceres::DENSE_QR;
  options.num_threads = 2;
  options.function_tolerance = tolerance;
  options.logging_type = ceres::SILENT;
  ceres::Solver::Summary summary;
  solving.take([&] { ceres::Solve(options, &problem, &summary); });
  answer.cost = 2.0 * summary.final_cost;
  steps = summary.num_successful_steps + summary.num_unsuccessful_steps;
  return answer;
}

double farthest(const Answer& a, const Answer& b) {
  double most = 0.0;
  for (std::size_t i = 0; i < kParameters; ++i) {
    most = std::max(most, std::fabs(a.theta[i] - b.theta[i]));
  }
  return most;
}

double apart(const Answer& a, const Answer& b) { return std::fabs(a.cost - b.cost) / b.cost; }

void print_line(const char* what, const Timings& timings, const Answer* answer) {
  fmt::print("{:<42} {:8.3f} s {:10.3f} s {:>20}\n", what, median(timings.wall),
             median(timings.processor), answer ? fmt::format("{:.6f}", answer->cost) : "");
}

bool race(std::size_t samples, std::size_t runs) {
  const Task task = plain_task(tumble(samples));
  const qn::ParallelFor parallel = qn::parallel_over_cores();
  Timings ours, building, solving, strict_building, strict_solving;
  double worst_apart = 0.0;
  Answer mine, theirs;
  int steps = 0;
  for (std::size_t run = 0; run < runs; ++run) {
    mine = solve_ours(task, parallel, ours);
    theirs = solve_by_ceres(task, kSameCost, building, solving, steps);
    worst_apart = std::max(worst_apart, apart(mine, theirs));
  }
  int strict_steps = 0;
  const Answer strict = solve_by_ceres(task, 1e-12, strict_building, strict_solving, strict_steps);

  fmt::print("a tumble of {} samples, {} parameters; medians of {} runs, taken in turn\n", samples,
             kParameters, runs);
  fmt::print("{:<42} {:>10} {:>12} {:>20}\n", "", "wall", "processor", "final cost");
  print_line("ours", ours, &mine);
  print_line("Ceres, solving", solving, &theirs);
  print_line("Ceres, building its problem (not counted)", building, nullptr);
  print_line("Ceres, to a tolerance of 1e-12, once", strict_solving, &strict);
  fmt::print(
      "Ceres: {} steps, cost apart from ours by {:.1e} relative (at most {:.0e}), farthest "
      "parameter by {:.1e}\n",
      steps, worst_apart, kSameCost, farthest(mine, theirs));
  fmt::print("Ceres to 1e-12: {} steps, cost apart by {:.1e}, farthest parameter by {:.1e}\n",
             strict_steps, apart(mine, strict), farthest(mine, strict));
  const double ratio = median(solving.wall) / median(ours.wall);
  fmt::print("ratio: {:.1f} by wall clock (at least {:.0f}), {:.1f} by processor time\n", ratio,
             kBudget, median(solving.processor) / median(ours.processor));
  return worst_apart <= kSameCost && apart(mine, strict) <= kSameCost && ratio >= kBudget;
}

bool scaling(std::size_t largest) {
  fmt::print("\nthe whole fit, checks, noise and curves included\n");
  fmt::print("{:>10} {:>10} {:>12} {:>16} {:>9}\n", "samples", "wall", "processor", "per sample",
             "relative");
  double first = 0.0;
  bool kept = true;
  for (std::size_t samples = 10000; samples <= largest; samples *= 10) {
    const qn::SensorRecording recording = tumble(samples);
    qn::SensorFitOptions options;
    options.earth = earth();
    Timings timings;
    for (int run = 0; run < 3; ++run) {
      timings.take([&] {
        const auto fit = qn::fit_sensor(recording, options, qn::parallel_over_cores());
        kept = kept && fit && fit.value().correction;  // an unsolved one would be quick
      });
    }
    const double each = median(timings.wall) / static_cast<double>(samples);
    if (first == 0.0) first = each;
    kept = kept && each <= first;
    fmt::print("{:>10} {:8.3f} s {:10.3f} s {:13.0f} ns {:9.2f}\n", samples, median(timings.wall),
               median(timings.processor), 1e9 * each, each / first);
  }
  return kept;
}

}  // namespace

int main(int argc, char** argv) {
  const auto number = [&](int at, std::size_t otherwise) {
    return argc > at ? std::max<std::size_t>(1, std::strtoul(argv[at], nullptr, 10)) : otherwise;
  };
  const bool fast = race(number(1, 1000000), number(2, 5));
  const bool linear = scaling(number(3, 10000000));
  if (!fast) fmt::print("slower than the budget, or the answers are not the same\n");
  if (!linear) fmt::print("time grows faster than the recording, or a fit was not solved\n");
  return fast && linear ? 0 : 1;
}
