// SPDX-License-Identifier: Apache-2.0
// Writes the accuracy tables: simulated truth against what the estimators report.
//   qn_accuracy [NAME...] [--cases N] [--first-seed S] [--threads T]
//   [--list N]
// Without a name all tables. --list: name the N worst misses of each kind of a disturbance table,
// with their seeds. Exit code 1 when a gate fails, 2 when the command line is wrong.
#include <algorithm>
#include <atomic>
#include <charconv>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <string>
#include <thread>
#include <vector>

#include "accuracy/air_score.h"
#include "accuracy/disturbance_cases.h"
#include "accuracy/disturbance_score.h"
#include "accuracy/sensor_cases.h"
#include "accuracy/sensor_score.h"
#include "accuracy/swing_adjust_score.h"
#include "accuracy/swing_coarse_score.h"
#include "accuracy/swing_doubt_score.h"
#include "accuracy/swing_score.h"
#include "accuracy/swing_tilt_score.h"

namespace {

struct Request {
  std::vector<std::string> names;
  std::size_t cases = 0;  // 0: the table's own number
  std::size_t list = 0;
  // Not the seeds that the tests and the tuning use: those are below 1 000 000.
  std::uint64_t first_seed = 1'000'000;
  std::size_t threads = std::max(1U, std::thread::hardware_concurrency());
};

template <class T>
bool read_number(const char* text, T& out) {
  const char* end = text + std::strlen(text);
  const auto result = std::from_chars(text, end, out);
  return result.ec == std::errc{} && result.ptr == end && out > 0;
}

// Runs that fail in 300 tries are few: a disturbance run holds a score of states.
constexpr std::size_t kSensorCases = 2000, kDisturbanceRuns = 300, kAirFlights = 2600,
                      kSwings = 5000;

std::vector<std::string> known_names() {
  std::vector<std::string> names = qn::accuracy::sensor_table_names();
  for (auto& name : qn::accuracy::disturbance_table_names()) names.push_back(std::move(name));
  for (auto& name : qn::accuracy::air_table_names()) names.push_back(std::move(name));
  for (auto& name : qn::accuracy::swing_table_names()) names.push_back(std::move(name));
  for (const char* name : {"swing-adjust", "swing-doubt", "swing-coarse", "swing-tilt"})
    names.emplace_back(name);
  return names;
}

int usage(const std::string& wrong) {
  std::fprintf(stderr,
               "qn_accuracy: %s\nusage: qn_accuracy [NAME...] [--cases N] [--first-seed S] "
               "[--threads T] [--list N]\nnames:",
               wrong.c_str());
  for (const auto& name : known_names()) std::fprintf(stderr, " %s", name.c_str());
  std::fprintf(stderr, "\n");
  return 2;
}

qn::ParallelFor pool_of(std::size_t threads) {
  return [threads](std::size_t count, const std::function<void(std::size_t)>& task) {
    std::atomic<std::size_t> next{0};
    std::vector<std::thread> workers;
    for (std::size_t t = 0; t < threads; ++t) {
      workers.emplace_back([&] {
        for (std::size_t i = next++; i < count; i = next++) task(i);
      });
    }
    for (auto& worker : workers) worker.join();
  };
}

bool print_sensor_table(const std::string& name, const Request& request,
                        const qn::ParallelFor& pool) {
  const std::size_t cases = request.cases > 0 ? request.cases : kSensorCases;
  const auto table = qn::accuracy::run_sensor_table(name, cases, request.first_seed, pool);
  std::fputs(table.to_markdown(name, qn::accuracy::how_drawn(name), cases).c_str(), stdout);
  return table.holds();
}

bool print_air_table(const std::string& name, const Request& request, const qn::ParallelFor& pool) {
  const std::size_t cases = request.cases > 0 ? request.cases : kAirFlights;
  const auto table = qn::accuracy::run_air_table(name, cases, request.first_seed, pool);
  std::fputs(table.to_markdown(name, qn::accuracy::how_air_drawn(name), cases).c_str(), stdout);
  return table.holds();
}

bool print_swing_table(const std::string& name, const Request& request,
                       const qn::ParallelFor& pool) {
  namespace acc = qn::accuracy;
  const bool adjust = name == "swing-adjust", doubt = name == "swing-doubt",
             coarse = name == "swing-coarse", tilt = name == "swing-tilt";
  const std::size_t cases = request.cases > 0 ? request.cases : kSwings;
  const std::uint64_t seed = request.first_seed;
  const auto table = adjust   ? acc::run_adjust_table(cases, seed, pool)
                     : doubt  ? acc::run_doubt_table(cases, seed, pool)
                     : coarse ? acc::run_coarse_table(cases, seed, pool)
                     : tilt   ? acc::run_tilt_table(cases, seed, pool)
                              : acc::run_swing_table(name, cases, seed, pool);
  const std::string how = adjust   ? acc::how_adjust_drawn()
                          : doubt  ? acc::how_doubt_drawn()
                          : coarse ? acc::how_coarse_drawn()
                          : tilt   ? acc::how_tilt_drawn()
                                   : acc::how_swing_drawn(name);
  std::fputs(table.to_markdown(name, how, cases).c_str(), stdout);
  return table.holds();
}

bool print_disturbance_table(const std::string& name, const Request& request,
                             const qn::ParallelFor& pool) {
  const std::size_t runs = request.cases > 0 ? request.cases : kDisturbanceRuns;
  std::vector<qn::accuracy::Miss> misses;
  const auto table =
      qn::accuracy::run_disturbance_table(name, runs, request.first_seed, pool, &misses);
  std::fputs(table.to_markdown(name, qn::accuracy::how_disturbance_drawn(name)).c_str(), stdout);
  std::size_t of_kind = 0;
  for (std::size_t i = 0; i < misses.size(); ++i) {
    of_kind = i > 0 && misses[i].kind == misses[i - 1].kind ? of_kind + 1 : 1;
    if (of_kind <= request.list) {
      std::printf("- %s, %.1f: %s\n", misses[i].kind.c_str(), misses[i].z, misses[i].text.c_str());
    }
  }
  return table.holds();
}

int run(const Request& request) {
  std::printf(
      "# Accuracy against simulated truth\n\n"
      "Written by `./dev accuracy`. Each row: in how many cases the reported 95 %% band holds "
      "the truth, and how large the error is against the Cramer-Rao bound, worked out "
      "apart from the estimator (tests/accuracy/sensor_bound.h, disturbance_bound.h, "
      "swing_bound.h). Gates of the "
      "sensor tables: %.0f to %.0f %% from "
      "%zu cases on, with fewer 95 %% within %.0f standard errors; ratio at most %.2f. In "
      "the disturbance tables the unit is the run: coverage is the mean of the runs' own. Seeds "
      "from %llu.\n\n",
      100 * qn::accuracy::gate::kLow, 100 * qn::accuracy::gate::kHigh, qn::accuracy::gate::kMany,
      qn::accuracy::gate::kStandardErrors, qn::accuracy::gate::kRatio,
      static_cast<unsigned long long>(request.first_seed));
  bool holds = true;
  const qn::ParallelFor pool = pool_of(request.threads);
  for (const std::string& name : request.names) {
    const auto sensors = qn::accuracy::sensor_table_names();
    const bool sensor = std::find(sensors.begin(), sensors.end(), name) != sensors.end();
    const bool air = name.rfind("air-", 0) == 0;
    const bool swing = name.rfind("swing-", 0) == 0;
    const bool good = sensor  ? print_sensor_table(name, request, pool)
                      : air   ? print_air_table(name, request, pool)
                      : swing ? print_swing_table(name, request, pool)
                              : print_disturbance_table(name, request, pool);
    std::fflush(stdout);
    holds = holds && good;
  }
  return holds ? 0 : 1;
}

}  // namespace

int main(int argc, char** argv) {
  Request request;
  const auto known = known_names();
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const char* value = i + 1 < argc ? argv[i + 1] : "";
    if (word == "--cases" || word == "--first-seed" || word == "--threads" || word == "--list") {
      const bool good = word == "--cases"        ? read_number(value, request.cases)
                        : word == "--list"       ? read_number(value, request.list)
                        : word == "--first-seed" ? read_number(value, request.first_seed)
                                                 : read_number(value, request.threads);
      if (!good) return usage(word + " needs a whole number above 0");
      ++i;
    } else if (std::find(known.begin(), known.end(), word) != known.end()) {
      request.names.push_back(word);
    } else {
      return usage("there is no table '" + word + "'");
    }
  }
  if (request.names.empty()) request.names = known;
  return run(request);
}
