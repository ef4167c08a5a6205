// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

/// How the number to steer is found.
enum class CardRule {
  solve,      ///< FOR = STEER + deviation(STEER)
  worksheet,  ///< STEER = FOR - deviation at FOR, as training worksheets have it
};

struct CardOptions {
  int step_deg = 30;
  bool a_removed = false;  ///< lubber line or sensor was turned by A, confirmed by the user
  CardRule rule = CardRule::solve;
  std::optional<std::string> compass;  ///< only this one
  std::string loads_are = {};          ///< which loads "on" means; empty: not said
  /// States of the loads, as loads_state() has them, first the large column; empty: off, and of the
  /// others the one with the largest deviation. At most kMostCardColumns.
  std::vector<std::string> columns = {};
};

inline constexpr std::size_t kMostCardColumns = 2;

struct CardSteer {
  double steer_deg = 0.0;                        ///< 0 to below 360
  std::pair<double, double> steer_95_deg{0, 0};  ///< its band, about steer_deg, not wrapped
  double deviation_deg = 0.0;
};

struct CardRow {
  double for_deg = 0.0;
  std::vector<CardSteer> steer;  ///< one for each column
};

/// The correction card of one compass.
struct CorrectionCard {
  std::string compass;
  std::vector<std::string> columns;  ///< "loads off", "loads on", or one that is empty
  std::vector<CardRow> rows;
  std::string verdict;                ///< of every state of the loads, in few words: on the card
  std::vector<std::string> verdicts;  ///< one sentence for each state that was read, columns first
  std::vector<std::string> remarks;   ///< to be written on the card, or beside it when it is full
  std::vector<std::string> beside;    ///< to be kept with the card
  bool doubtful = false;              ///< a reading behind it is probably wrong
  bool departs = false;               ///< the readings do not follow the curve it is made from
};

/// errors  OutOfRange: a step other than 15, 30 or 45; no compass of that name
std::optional<Error> check_card_options(const SwingSolution& swing, const CardOptions& options);

/// A card for every compass that could be solved; the options have been checked.
std::vector<CorrectionCard> make_cards(const SwingSolution& swing, const CardOptions& options);

}  // namespace qn
