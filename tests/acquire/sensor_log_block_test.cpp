// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <cstdio>
#include <random>
#include <string>

#include "acquire/log_statistics.h"
#include "acquire/log_texts.h"

using namespace qn::test;

namespace {

const std::string kHeader = "time_s,field_x_uT,field_y_uT,field_z_uT\n";

/// Rows of changing length over several blocks of 256 KiB; values are multiples of 1/8, so that
/// text and double agree without rounding.
struct LongLog {
  std::string text = kHeader;
  std::vector<double> x;
  std::vector<std::size_t> line;  // of each row

  explicit LongLog(int rows) {
    std::mt19937_64 random{21};
    std::size_t at_line = 2;
    for (int i = 0; i < rows; ++i) {
      const double value = static_cast<double>(random() % 800000) / 8.0 - 50000.0;
      char cells[120];
      const int pad = static_cast<int>(random() % 12);
      std::snprintf(cells, sizeof cells, "%d,%.3f,%*.1f,43.25\n", i, value, pad, 2.5);
      if (random() % 50 == 0) {
        text += "# a comment\n";
        ++at_line;
      }
      text += cells;
      x.push_back(value);
      line.push_back(at_line++);
    }
  }
};

}  // namespace

TEST_CASE("Rows across block borders are read once, with any number of threads",
          "[acquire][closed-form]") {
  const LongLog log{60000};
  REQUIRE(log.text.size() > 1500000);
  for (const unsigned threads : {1u, 2u, 5u}) {
    qn::SensorLogOptions options;
    options.threads = threads;
    const auto recording = read_text(log.text, options);
    REQUIRE(recording.has_value());
    REQUIRE(recording.value().size() == log.x.size());
    CHECK(recording.value().field[0] == log.x);
    CHECK(recording.value().time_s.back() == 59999.0);
  }
}

TEST_CASE("A fault far into a long file is named by its line", "[acquire][closed-form]") {
  LongLog log{60000};
  const std::size_t row = 51234;
  const std::string start = std::to_string(row) + ",";
  const std::size_t at = log.text.find("\n" + start);
  REQUIRE(at != std::string::npos);
  log.text.replace(at + 1, start.size(), "oops,");
  log.text += "later,1,2,3\n";
  for (const unsigned threads : {1u, 3u}) {
    qn::SensorLogOptions options;
    options.threads = threads;
    CHECK(refusal_of(log.text, options).where ==
          "log.csv, line " + std::to_string(log.line[row]) + ", column 1 (time_s)");
  }
}

TEST_CASE("A line end on every position around a block border is understood",
          "[acquire][closed-form]") {
  // The border after the first block lies 256 KiB behind the header; comments shift the rows.
  constexpr std::size_t kBlock = 256 * 1024;
  for (std::size_t shift = 0; shift < 24; ++shift) {
    std::string text = kHeader + "#" + std::string(shift, '.') + "\n";
    std::size_t rows = 0;
    while (text.size() < kBlock + 2000) text += std::to_string(rows++) + ",1,2,3\n";
    const auto recording = read_text(text);
    REQUIRE(recording.has_value());
    CHECK(recording.value().size() == rows);
  }
}

TEST_CASE("Progress rises to one and can stop the reading", "[acquire][closed-form]") {
  const LongLog log{60000};
  std::vector<double> told;
  qn::SensorLogOptions options;
  options.progress = [&](double fraction) {
    told.push_back(fraction);
    return true;
  };
  REQUIRE(read_text(log.text, options).has_value());
  REQUIRE(told.size() >= 3);
  CHECK(std::is_sorted(told.begin(), told.end()));
  CHECK(told.back() == 1.0);
  options.progress = [](double) { return false; };
  const auto stopped = refusal_of(log.text, options);
  CHECK(stopped.kind == qn::ErrorKind::Io);
  CHECK(contains(stopped.what, "stopped"));
}

TEST_CASE("Statistics are those of the numbers, with any number of threads",
          "[acquire][closed-form]") {
  const LongLog log{60000};
  long double sum = 0.0L;
  for (const double v : log.x) sum += v;
  const long double mean = sum / static_cast<long double>(log.x.size());
  long double squares = 0.0L;
  for (const double v : log.x) squares += (v - mean) * (v - mean);
  const double deviation =
      static_cast<double>(std::sqrt(squares / static_cast<long double>(log.x.size() - 1)));
  std::vector<qn::LogStatistics> results;
  for (const unsigned threads : {1u, 4u}) {
    qn::SensorLogOptions options;
    options.threads = threads;
    const auto statistics = qn::log_statistics(*qn::memory_source(log.text, "log.csv"), options);
    REQUIRE(statistics.has_value());
    results.push_back(statistics.value());
    const qn::ColumnStatistics& x = statistics.value().columns.at(1);
    CHECK(statistics.value().rows == log.x.size());
    CHECK(x.name == "field_x_uT");
    CHECK(x.count == log.x.size());
    CHECK(x.min == *std::min_element(log.x.begin(), log.x.end()));
    CHECK(x.max == *std::max_element(log.x.begin(), log.x.end()));
    CHECK(x.mean == Approx(static_cast<double>(mean)).epsilon(1e-12));
    CHECK(x.standard_deviation == Approx(deviation).epsilon(1e-11));
    CHECK(statistics.value().columns.at(3).standard_deviation == 0.0);
  }
  // To the last bit: blocks are joined in the order of the file.
  CHECK(results[0].columns[1].mean == results[1].columns[1].mean);
  CHECK(results[0].columns[1].standard_deviation == results[1].columns[1].standard_deviation);
}

TEST_CASE("Statistics pass over what is no number and count it", "[acquire][closed-form]") {
  const auto statistics =
      qn::log_statistics(*qn::memory_source("a,b,c\n1,x,\n2,5,\n,inf,\n4,7,\n", "t.csv"), {});
  REQUIRE(statistics.has_value());
  const auto& columns = statistics.value().columns;
  CHECK(columns[0].count == 3);
  CHECK(columns[0].missing == 1);
  CHECK(columns[0].mean == Approx(7.0 / 3.0));
  CHECK(columns[1].count == 2);
  CHECK(columns[1].missing == 2);
  CHECK(columns[1].standard_deviation == Approx(std::sqrt(2.0)));
  CHECK(columns[2].count == 0);
  CHECK(columns[2].mean == 0.0);
}

TEST_CASE("A large mean beside a small spread loses no digits", "[acquire][closed-form]") {
  // 1e9 + {0, 1, 2} repeated: variance of a uniform choice of three, 2/3 * n / (n - 1).
  std::string text = "t,v\n";
  constexpr int kRows = 30000;
  for (int i = 0; i < kRows; ++i)
    text += std::to_string(i) + ",100000000" + std::to_string(i % 3) + "\n";
  const auto statistics = qn::log_statistics(*qn::memory_source(text, "t.csv"), {});
  REQUIRE(statistics.has_value());
  CHECK(statistics.value().columns[1].standard_deviation ==
        Approx(std::sqrt(2.0 / 3.0 * kRows / (kRows - 1.0))).epsilon(1e-12));
}
