// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "app/codec_swing_readings.h"
#include "procedure/swing_rose.h"
#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

/// How a stations file is to be read and its readings taken, texts as the user gave them.
struct SwingRequest {
  std::string stations_path;
  std::string stations_name;  ///< shown name; empty: taken from the path
  std::optional<std::string> compass;
  std::optional<double> rounding_deg;
  std::optional<double> reading_sigma_deg, station_sigma_deg, north_sigma_deg, hysteresis_sigma_deg;
  std::vector<std::string> limits;  ///< NAME=DEG each
  std::optional<std::string> limit_basis;
  std::optional<std::string> stations_are;  ///< magnetic | true
  std::optional<std::string> deviation_is;  ///< to-add | reading-minus-truth
  std::optional<double> variation_deg;
  std::optional<std::string> at, on;
  std::optional<std::string> rose_path;    ///< where the marks point (docs/formats/rose.md)
  std::vector<std::string> box_corrected;  ///< NAME=DATE each
  std::string day;                         ///< of the swing, ISO; empty: that of `on`
  std::string aircraft;
};

/// The rose that the stations are marks of.
struct SwingRoseSource {
  std::string name, sha256;
  bool directions_true = false;
  Rose rose;  ///< all its marks, magnetic
  RoseUse use;
};

/// Of a compass that was corrected inside its own box.
struct BoxCorrection {
  std::string compass;  ///< as the readings name it
  std::string date;     ///< ISO
};

/// Where the numbers of a swing come from.
struct SwingSource {
  std::string stations_name, stations_sha256;
  std::string program_version;
  std::string place, day, aircraft;
  bool stations_true = false;
  std::optional<double> variation_deg;
  std::size_t readings = 0;
  std::optional<SwingRoseSource> rose;
  std::vector<BoxCorrection> box_corrected;
  std::vector<double> left_out_deg;   ///< marks on which nothing was read, as the file has them
  std::vector<std::string> how_read;  ///< sentences: signs, north, rows left out
};

struct SwingInput {
  std::vector<SwingReading> readings;
  SwingOptions options;
  SwingSource source;
};

/// What `swing solve`, `swing adjust` and `card` begin with.
///
/// errors  OutOfRange naming an option; BadInput naming file, line and column
Result<SwingInput> read_swing_input(const SwingRequest& request);

/// The sentence that says which marks were left out.
std::string left_out_words(const std::vector<double>& marks_deg);

/// The options alone: what the readings are taken with.
/// errors  OutOfRange naming an option
Result<SwingOptions> swing_options_of(const SwingRequest& request);

}  // namespace qn
