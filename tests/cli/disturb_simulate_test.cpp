// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "support/program_run.h"
#include "support/temporary_folder.h"

using namespace qn;

namespace {

const std::string kEquipment = std::string{QN_SOURCE_DIR} + "/data/demo/equipment.csv";

}  // namespace

TEST_CASE("disturb simulate writes its four files and says what to type next", "[cli]") {
  const test::TemporaryFolder folder;
  const auto run =
      test::run_program("disturb simulate " + kEquipment +
                        " --seed 35 --preset demo --rate-Hz 5 --out " + folder.path("run"));
  CHECK(run.exit_code == 0);
  CHECK(run.err.empty());
  CHECK(run.out.find("quietnorth disturb analyse") != std::string::npos);
  for (const char* name : {"log.csv", "marks.csv", "equipment.csv", "truth.json"}) {
    CHECK(std::filesystem::exists(folder.path("run") + "/" + name));
  }
}

TEST_CASE("disturb simulate takes faults with commas between and refuses unknown ones", "[cli]") {
  const test::TemporaryFolder folder;
  const std::string start = "disturb simulate " + kEquipment + " --seed 1 --rate-Hz 2 --out " +
                            folder.path("run") + " --without ";
  const auto good = test::run_program(start + "late,skipped,tilt");
  CHECK(good.exit_code == 0);
  CHECK(good.out.find("0 marks more than 2 s off, 0 steps skipped") != std::string::npos);
  const auto bad = test::run_program(start + "late,gremlins");
  CHECK(bad.exit_code == 2);
  CHECK(bad.err.find("gremlins") != std::string::npos);
  CHECK(test::run_program("disturb simulate nowhere.csv --out " + folder.path("x")).exit_code == 3);
}

TEST_CASE("disturb simulate writes what a display would have shown when asked to", "[cli]") {
  const test::TemporaryFolder folder;
  const std::string start =
      "disturb simulate " + kEquipment + " --seed 3 --rate-Hz 2 --out " + folder.path("run") + " ";
  const auto run =
      test::run_program(start + "--heading-log --display-step-deg 0.5 --display-lag-s 4");
  CHECK(run.exit_code == 0);
  CHECK(run.out.find("heading.csv") != std::string::npos);
  CHECK(std::filesystem::exists(folder.path("run") + "/heading.csv"));
  const auto both = test::run_program(start + "--heading-log --display-lag-s 4 --display-fade-s 9");
  CHECK(both.exit_code == 2);
  CHECK(test::run_program(start + "--heading-log --display-step-deg 20").exit_code == 2);
}
