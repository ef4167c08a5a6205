// SPDX-License-Identifier: Apache-2.0
//
// Question: is a log read as fast as two cores allow, although every cell is checked?
// Budget:   at most 0.6 x the time of a bare one-thread loop over the memory-mapped file that calls
//           std::from_chars and checks nothing; both compute the same statistics. Beside it, for
//           scale: the C reader of pandas, when python3 has it.
// Use:      qn_bench_acquire [MEGABYTES=200] [RUNS=9]
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <filesystem>
#include <random>
#include <string>
#include <vector>

#include "acquire/log_statistics.h"
#include "acquire/sensor_log.h"

namespace {

constexpr std::size_t kColumns = 4;

struct Totals {
  double count = 0.0;
  std::array<double, kColumns> min{}, max{}, mean{}, deviation{};
};

/// A turn of the sensor at 50 Hz: seconds with two decimals, microtesla with three.
void write_log(const std::string& path, std::size_t bytes) {
  std::FILE* const file = std::fopen(path.c_str(), "wb");
  if (file == nullptr) std::exit(4);
  std::string text = "time_s,field_x_uT,field_y_uT,field_z_uT\n";
  std::mt19937_64 random{7};
  std::normal_distribution<double> noise{0.0, 0.4};
  std::size_t written = 0;
  for (std::size_t row = 0; written < bytes; ++row) {
    const double t = 0.02 * static_cast<double>(row);
    text +=
        fmt::format("{:.2f},{:.3f},{:.3f},{:.3f}\n", t, 21.0 * std::cos(0.1 * t) + noise(random),
                    -21.0 * std::sin(0.1 * t) + noise(random), 43.0 + noise(random));
    if (text.size() > 1 << 20) {
      written += std::fwrite(text.data(), 1, text.size(), file);
      text.clear();
    }
  }
  std::fwrite(text.data(), 1, text.size(), file);
  std::fclose(file);
}

Totals bare_loop(const std::string& path) {
  const int file = ::open(path.c_str(), O_RDONLY);
  struct stat info {};
  if (file < 0 || ::fstat(file, &info) != 0) std::exit(4);
  const auto size = static_cast<std::size_t>(info.st_size);
  void* const memory = ::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, file, 0);
  ::close(file);
  if (memory == MAP_FAILED) std::exit(4);
  ::madvise(memory, size, MADV_SEQUENTIAL);
  const char* const begin = static_cast<const char*>(memory);
  const char* const end = begin + size;
  const char* p = static_cast<const char*>(std::memchr(begin, '\n', size)) + 1;
  std::array<double, kColumns> about{}, sum{}, squares{}, low{}, high{};
  double rows = 0.0;
  while (p < end) {
    for (std::size_t c = 0; c < kColumns; ++c) {
      double value = 0.0;
      p = std::from_chars(p, end, value).ptr + 1;
      if (rows == 0.0) about[c] = low[c] = high[c] = value;
      const double d = value - about[c];
      sum[c] += d;
      squares[c] += d * d;
      low[c] = value < low[c] ? value : low[c];
      high[c] = value > high[c] ? value : high[c];
    }
    rows += 1.0;
  }
  ::munmap(memory, size);
  Totals totals;
  totals.count = rows;
  for (std::size_t c = 0; c < kColumns; ++c) {
    totals.min[c] = low[c];
    totals.max[c] = high[c];
    totals.mean[c] = about[c] + sum[c] / rows;
    totals.deviation[c] = std::sqrt((squares[c] - sum[c] * sum[c] / rows) / (rows - 1.0));
  }
  return totals;
}

Totals ours(const std::string& path, unsigned threads) {
  qn::SensorLogOptions options;
  options.threads = threads;
  const auto statistics = qn::log_statistics(path, options);
  if (!statistics) {
    fmt::print(stderr, "{}\n", to_text(statistics.error()));
    std::exit(3);
  }
  Totals totals;
  totals.count = static_cast<double>(statistics.value().rows);
  for (std::size_t c = 0; c < kColumns; ++c) {
    const qn::ColumnStatistics& column = statistics.value().columns[c];
    totals.min[c] = column.min;
    totals.max[c] = column.max;
    totals.mean[c] = column.mean;
    totals.deviation[c] = column.standard_deviation;
  }
  return totals;
}

/// Both must have done the same work, or the ratio means nothing.
bool same(const Totals& a, const Totals& b) {
  bool agree = a.count == b.count;
  for (std::size_t c = 0; c < kColumns; ++c) {
    agree = agree && a.min[c] == b.min[c] && a.max[c] == b.max[c] &&
            std::fabs(a.mean[c] - b.mean[c]) <= 1e-9 * (1.0 + std::fabs(a.mean[c])) &&
            std::fabs(a.deviation[c] - b.deviation[c]) <= 1e-7 * a.deviation[c];
  }
  return agree;
}

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

void print_line(const char* what, const Timings& timings, const Timings& bare, const char* note) {
  fmt::print("{:<40} {:7.3f} s {:6.2f} {:9.3f} s {:6.2f}  {}\n", what, median(timings.wall),
             median(timings.wall) / median(bare.wall), median(timings.processor),
             median(timings.processor) / median(bare.processor), note);
}

/// Seconds inside Python, without starting it or importing; 0 when there is no pandas.
double pandas_seconds(const std::string& python, const std::string& path) {
  const std::string command =
      python +
      " -c \"\nimport sys, time\nimport pandas as p\nt = time.perf_counter()\n"
      "d = p.read_csv(sys.argv[1], engine='c')\nd.agg(['count', 'min', 'max', 'mean', 'std'])\n"
      "print(time.perf_counter() - t)\n\" '" +
      path + "' 2>/dev/null";
  std::FILE* const pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) return 0.0;
  double result = 0.0;
  if (std::fscanf(pipe, "%lf", &result) != 1) result = 0.0;
  ::pclose(pipe);
  return result;
}

}  // namespace

int main(int argc, char** argv) {
  const std::size_t megabytes = argc > 1 ? std::strtoul(argv[1], nullptr, 10) : 200;
  const std::size_t runs =
      std::max<std::size_t>(1, argc > 2 ? std::strtoul(argv[2], nullptr, 10) : 9);
  const std::string path =
      (std::filesystem::temp_directory_path() / fmt::format("bench-log-{}.csv", ::getpid()))
          .string();
  write_log(path, megabytes * 1000 * 1000);

  bool agree = same(bare_loop(path), ours(path, 2));  // also warms the page cache
  Timings bare, two, one, recording;
  for (std::size_t run = 0; run < runs; ++run) {
    bare.take([&] { bare_loop(path); });
    two.take([&] { ours(path, 2); });
    one.take([&] { ours(path, 1); });
    recording.take([&] {
      qn::SensorLogOptions options;
      options.threads = 2;
      agree = agree && qn::read_sensor_log(path, options).has_value();
    });
  }
  std::vector<double> pandas;
  for (std::size_t run = 0; run < std::min<std::size_t>(runs, 3); ++run) {
    const double plain = pandas_seconds("python3", path);
    pandas.push_back(plain > 0.0 ? plain : pandas_seconds("/usr/bin/python3", path));
  }
  std::filesystem::remove(path);

  fmt::print("a log of {} MB, {} columns; medians of {} runs, taken in turn\n", megabytes, kColumns,
             runs);
  fmt::print("{:<40} {:>9} {:>6} {:>11} {:>6}\n", "", "wall", "ratio", "processor", "ratio");
  print_line("bare from_chars loop, 1 thread, mapped", bare, bare, "");
  print_line("statistics, checked, 2 threads", two, bare, "budget: wall ratio 0.60");
  print_line("statistics, checked, 1 thread", one, bare, "");
  print_line("whole recording into memory, 2 threads", recording, bare, "");
  if (median(pandas) > 0.0) {
    fmt::print("pandas C reader and its statistics: {:.3f} s wall, {:.1f} x ours on 2 threads\n",
               median(pandas), median(pandas) / median(two.wall));
  } else {
    fmt::print("pandas C reader: not found (python3-pandas)\n");
  }
  if (!agree) fmt::print("the readers do not agree: the times mean nothing\n");
  return agree ? 0 : 1;
}
