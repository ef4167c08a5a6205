// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "app/fit_sensor_log.h"
#include "support/sample_fits.h"

namespace qn::samples {

/// A covariance of twelve numbers, diagonal, in the document's order.
inline FitCovariance twelve(double matrix_sigma, double offset_sigma) {
  FitCovariance out;
  for (const char* row : {"1", "2", "3"}) {
    for (const char* column : {"1", "2", "3"}) {
      out.order.push_back(std::string{"matrix_"} + row + column);
    }
  }
  for (const char* axis : {"x", "y", "z"}) {
    out.order.push_back(std::string{"offset_"} + axis + "_raw");
  }
  out.values.assign(12, std::vector<double>(12, 0.0));
  for (std::size_t i = 0; i < 12; ++i) {
    const double sigma = i < 9 ? matrix_sigma : offset_sigma;
    out.values[i][i] = sigma * sigma;
  }
  return out;
}

/// A document as `sensor fit` makes it, around `fit`.
inline FitDocument document_of(SensorFit fit) {
  FitDocument out;
  if (fit.correction) fit.correction->covariance = twelve(1e-3, 0.02);
  out.fit = std::move(fit);
  out.tally.rows = 32095;
  out.tally.median_interval_s = 0.02;
  out.provenance = {.log_name = "wing.csv",
                    .log_sha256 = std::string(64, 'a'),
                    .program_version = "0.1.0",
                    .place = "49.3, 10.2",
                    .day = "2026-05-14",
                    .aircraft = "Tern-and-a-half"};
  return out;
}

}  // namespace qn::samples
