// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "procedure/swing_card.h"
#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth swing solve`, texts as the user gave them.
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
  std::string aircraft;
};

struct SwingDocument {
  SwingSolution swing;
  std::string stations_name, stations_sha256;
  std::string program_version;
  std::string place, day, aircraft;
  bool stations_true = false;
  std::optional<double> variation_deg;
  std::size_t readings = 0;
  std::vector<std::string> how_read;  ///< sentences: signs, north, rows left out
};

/// errors  OutOfRange naming an option; BadInput naming file, line and column
Result<SwingDocument> solve_swing_file(const SwingRequest& request);

/// What --check asks: every compass `within`.
bool every_verdict_within(const SwingSolution& swing);

/// One request for `quietnorth card`.
struct CardRequest {
  SwingRequest swing;
  int step_deg = 30;
  bool a_removed = false;
  bool worksheet_rule = false;
  std::optional<std::string> loads;   ///< off | on | off,on
  std::optional<std::string> engine;  ///< running | stopped
  std::optional<std::string> radio;   ///< on | off
  std::string by;
};

struct CardDocument {
  SwingDocument swing;
  std::vector<CorrectionCard> cards;
  int step_deg = 30;
  bool a_removed = false, worksheet_rule = false;
  std::string engine, radio, by;  ///< empty: to be filled in by hand
};

/// errors  as solve_swing_file; OutOfRange for the card's own options; BadInput when no compass
///         could be solved
Result<CardDocument> make_card_document(const CardRequest& request);

}  // namespace qn
