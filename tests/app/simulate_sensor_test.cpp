// SPDX-License-Identifier: Apache-2.0
#include "app/simulate_sensor.h"

#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>

namespace fs = std::filesystem;
using namespace qn;

namespace {

std::string bytes_of(const fs::path& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

/// A folder of this test's own, gone at its end.
struct Folder {
  fs::path path = fs::temp_directory_path() / ("qn-simulate-" + std::to_string(::getpid()));
  Folder() { fs::remove_all(path); }
  ~Folder() { fs::remove_all(path); }
};

}  // namespace

TEST_CASE("the demo writes a log, stations and the truth, twice the same", "[app][synthetic]") {
  const Folder folder;
  const auto one = simulate_sensor({"demo", 5, (folder.path / "deep" / "one").string()});
  const auto two = simulate_sensor({"demo", 5, (folder.path / "two").string()});
  REQUIRE(one.has_value());
  REQUIRE(two.has_value());
  const std::string log = bytes_of(one.value().log_path);
  CHECK(log == bytes_of(two.value().log_path));
  CHECK(bytes_of(one.value().truth_path) == bytes_of(two.value().truth_path));
  CHECK(log.find("time_s,field_x_uT,field_y_uT,field_z_uT,roll_deg,pitch_deg\n0.0000,") !=
        std::string::npos);
  REQUIRE(one.value().stations_path.has_value());
  CHECK(bytes_of(*one.value().stations_path).find("station_deg\n0\n30\n60\n") != std::string::npos);
  CHECK(one.value().fit_command.find("--stations") != std::string::npos);
}

TEST_CASE("the truth document carries what a perfect answer would be", "[app][synthetic]") {
  const Folder folder;
  const auto made = simulate_sensor({"demo", 1, folder.path.string()});
  REQUIRE(made.has_value());
  const auto truth = nlohmann::json::parse(bytes_of(made.value().truth_path));
  CHECK(truth["schema"] == "quietnorth/sensor-truth/1");
  CHECK(truth["curve"].size() == 72);
  CHECK(truth["stops"].size() == 12);
  // The place of the demo lies at a dip of about 65 degrees.
  CHECK(truth["earth"]["dip_deg"].get<double>() == Approx(65).margin(1));
  // matrix is the inverse of soft_iron: their product's first row is 1 0 0.
  for (int j = 0; j < 3; ++j) {
    double sum = 0;
    for (int k = 0; k < 3; ++k) {
      sum += truth["matrix"][0][k].get<double>() * truth["soft_iron"][k][j].get<double>();
    }
    CHECK(sum == Approx(j == 0 ? 1 : 0).margin(1e-12));
  }
  // The worst point of the printed curve is near the worst given.
  double worst = 0;
  for (const auto& point : truth["curve"]) {
    worst = std::max(worst, std::abs(point["before_deg"].get<double>()));
  }
  CHECK(truth["heading_error_before_deg"]["worst"].get<double>() >= worst);
  CHECK(truth["heading_error_before_deg"]["worst"].get<double>() < worst + 0.2);
}

TEST_CASE("counts are written as whole numbers under raw names", "[app][synthetic]") {
  const Folder folder;
  const auto made = simulate_sensor({"counts", 1, folder.path.string()});
  REQUIRE(made.has_value());
  CHECK_FALSE(made.value().stations_path.has_value());
  const std::string log = bytes_of(made.value().log_path);
  const std::size_t row = log.find("field_z_raw\n");
  REQUIRE(row != std::string::npos);
  const std::string first = log.substr(row + 12, log.find('\n', row + 12) - row - 12);
  CHECK(first.find('.', first.find(',')) == std::string::npos);
}

TEST_CASE("an unknown scenario writes nothing and names the known ones", "[app][synthetic]") {
  const Folder folder;
  const auto made = simulate_sensor({"dogfight", 1, folder.path.string()});
  REQUIRE_FALSE(made.has_value());
  CHECK(made.error().kind == ErrorKind::OutOfRange);
  CHECK(made.error().expected.find("tumble") != std::string::npos);
  CHECK_FALSE(fs::exists(folder.path));
}

TEST_CASE("a place that cannot hold the files leaves none of them", "[app][synthetic]") {
  const Folder folder;
  fs::create_directories(folder.path / "truth.json" / "in the way");
  const auto made = simulate_sensor({"demo", 1, folder.path.string()});
  REQUIRE_FALSE(made.has_value());
  CHECK(made.error().kind == ErrorKind::Io);
  CHECK_FALSE(fs::exists(folder.path / "log.csv"));
  CHECK_FALSE(fs::exists(folder.path / "stations.csv"));
  std::ofstream{folder.path / "file"} << "x";
  const auto under_file = simulate_sensor({"demo", 1, (folder.path / "file").string()});
  REQUIRE_FALSE(under_file.has_value());
  CHECK(under_file.error().kind == ErrorKind::Io);
}
