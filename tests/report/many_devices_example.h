// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstddef>
#include <string>

#include "report/disturbance_example.h"

namespace qn::samples {

/// Forty devices three times each over 84 minutes, names and remarks as long as people write them.
inline DisturbanceRun many_devices() {
  DisturbanceRun run = empty_run();
  run.to_s = 40.0 * 42.0 * 3.0;
  for (std::size_t k = 0; k < 40; ++k) {
    const double size = 4.5 / (1.0 + 0.8 * static_cast<double>(k));
    const double angle = 0.9 * static_cast<double>(k);
    const double on = 10.0 + 42.0 * static_cast<double>(k);
    const std::string name = "device " + std::to_string(k + 1) +
                             (k % 3 == 0 ? " on the far side behind the second bulkhead" : "");
    run.devices.push_back(made_device({name,
                                       DeviceKind::steady,
                                       {size * std::cos(angle), size * std::sin(angle), 0.1 * size},
                                       0.08 + 0.02 * static_cast<double>(k % 5),
                                       {on, on + 1680.0, on + 3360.0}},
                                      run));
    if (k % 4 == 0) {
      run.devices.back().remarks = {
          "A remark that goes on for longer than one line of the table, because what was found "
          "about this device cannot be said in fewer words than these; and then some more.",
          "And a second one."};
    }
  }
  for (std::size_t k = 0; k < 7; ++k) {
    run.combinations.push_back(
        made_phase(run, "a phase with a long name of its own " + std::to_string(k + 1),
                   {k, k + 3, k + 7, k + 11, k + 20}));
  }
  for (std::size_t k = 0; k < 31; ++k) {
    const double from = 33.0 + 160.0 * static_cast<double>(k);
    run.unexplained.push_back({Unexplained::Kind::pulse,
                               from,
                               from + 6.0,
                               {0.4, 0.2, 0.0},
                               Angle::degrees(1.2),
                               {},
                               run.devices[k % 5].name});
  }
  for (const DeviceEffect& device : run.devices) run.cure_order.push_back(device.name);
  for (int k = 0; k < 30; ++k) {
    run.remarks.push_back("Something was found at " + std::to_string(100 + k) +
                          " s that has to be told in a sentence long enough to fill a line and "
                          "then a part of the next one too.");
  }
  run.assumptions = {"One own assumption with its size, 0.2°."};
  run.sentence =
      "The device 1 on the far side behind the second bulkhead turns north by up to 13.3°, worst "
      "near 270 magnetic, and in every phase of flight it is far over the limit. Move it, its "
      "return wire, or the sensor, then work it again before anything else.";
  run.verdict = run.devices[0].states[0].verdict;
  run.verdict.because = "At least 13.2° against your limit; 11 more devices are over it as well.";
  run.verdict.do_next =
      "Move the device 1 on the far side behind the second bulkhead by half a metre, twist its "
      "feed "
      "with its return, and work it again three times with everything else off.";
  make_trace(run, run.to_s);
  return run;
}

}  // namespace qn::samples
