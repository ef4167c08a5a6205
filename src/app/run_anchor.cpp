// SPDX-License-Identifier: Apache-2.0
#include "app/run_anchor.h"

#include <time.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <nlohmann/json.hpp>

namespace qn {
namespace {

constexpr double kLeastBreak_s = 1.0;
constexpr double kLongestBreak_s = 86400.0;  // beyond, the calendar clock is not believed

double boot_s() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

double utc_s() {
  using namespace std::chrono;
  return duration<double>(system_clock::now().time_since_epoch()).count();
}

std::string boot_id() {
  std::string id;
  std::getline(std::ifstream{"/proc/sys/kernel/random/boot_id"}, id);
  return id;
}

}  // namespace

RunAnchor anchor_now(double recording_s) { return {recording_s, boot_s(), boot_id(), utc_s()}; }

double recording_time_now(const RunAnchor& anchor, double at_least_s) {
  const RunAnchor now = anchor_now(0.0);
  const bool same_start = !anchor.boot_id.empty() && anchor.boot_id == now.boot_id;
  const double passed_s = same_start ? now.boot_s - anchor.boot_s : now.utc_s - anchor.utc_s;
  return std::clamp(anchor.recording_s + passed_s, at_least_s + kLeastBreak_s,
                    at_least_s + kLongestBreak_s);
}

std::string to_json(const RunAnchor& anchor) {
  return nlohmann::ordered_json{{"recording_s", anchor.recording_s},
                                {"boot_s", anchor.boot_s},
                                {"boot_id", anchor.boot_id},
                                {"utc_s", anchor.utc_s}}
      .dump();
}

RunAnchor run_anchor_from(const std::string& text) {
  const auto json = nlohmann::json::parse(text, nullptr, false);
  if (!json.is_object()) return {};
  RunAnchor anchor;
  anchor.recording_s = json.value("recording_s", 0.0);
  anchor.boot_s = json.value("boot_s", 0.0);
  anchor.boot_id = json.value("boot_id", std::string{});
  anchor.utc_s = json.value("utc_s", 0.0);
  return anchor;
}

}  // namespace qn
