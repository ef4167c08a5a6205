// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstdio>
#include <string>

#include "cli/sensor_files.h"

namespace qn::test {

inline const std::string kMeasured = " --horizontal-uT 20 --vertical-uT 45 ";

/// A sensor at rest, 10 Hz, every axis moving by a few hundredths of a microtesla; `light` adds 1
/// uT forward from 20 to 40 s and from 60 to 80 s. Deterministic: no noise generator is needed.
inline std::string rest_log(double seconds, double factor = 1.0, const char* unit = "uT") {
  std::string text =
      "time_s,field_x_" + std::string{unit} + ",field_y_" + unit + ",field_z_" + unit + "\n";
  const auto n = static_cast<int>(10.0 * seconds);
  unsigned state = 12345;
  const auto flicker = [&state] {
    state = state * 1664525U + 1013904223U;
    return 0.1 * (static_cast<double>(state >> 8) / 16777216.0 - 0.5);
  };
  for (int k = 0; k < n; ++k) {
    const double t = 0.1 * k;
    const bool on = (t >= 20.0 && t < 40.0) || (t >= 60.0 && t < 80.0);
    char line[160];
    const double x = 19.0 + (on ? 1.0 : 0.0) + flicker(), y = 4.0 + flicker(), z = 44.0 + flicker();
    std::snprintf(line, sizeof line, "%.1f,%.7g,%.7g,%.7g\n", t, factor * x, factor * y,
                  factor * z);
    text += line;
  }
  return text;
}

inline const std::string kMarks =
    "time_s,device,state\n20.4,light,on\n40.6,light,off\n60.3,light,1\n80.5,light,0\n";
inline const std::string kEquipment =
    "device,kind,states\nlight,steady,off|on\nradio,steady,off|on\n";

/// A good run of two minutes, from which the bad ones are made.
class RunFolder {
 public:
  RunFolder() {
    write("log.csv", rest_log(120.0));
    write("marks.csv", kMarks);
    write("equipment.csv", kEquipment);
  }
  std::string path(const std::string& name) const { return folder_.path(name); }
  std::string write(const std::string& name, std::string_view bytes) const {
    return folder_.write(name, bytes);
  }
  /// The words for this log, these marks and no equipment list.
  std::string words(const std::string& log = "log.csv",
                    const std::string& marks = "marks.csv") const {
    return "disturb analyse " + path(log) + " " + path(marks) + kMeasured;
  }
  std::string listed(const std::string& log = "log.csv",
                     const std::string& marks = "marks.csv") const {
    return words(log, marks) + "--equipment " + path("equipment.csv") + " ";
  }

 private:
  TemporaryFolder folder_;
};

}  // namespace qn::test
