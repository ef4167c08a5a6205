// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/fit_sensor_log.h"
#include "app/swing_input.h"
#include "earth/local_field.h"
#include "procedure/swing_before.h"
#include "procedure/swing_card.h"
#include "procedure/swing_iron.h"
#include "procedure/swing_solve.h"
#include "vocab/result.h"

namespace qn {

/// An earlier swing, before the adjusters were turned.
struct SwingBefore {
  SwingSource source;
  SwingComparison comparison;
};

/// The iron behind the coefficients, in the field of the place. Beside the compasses.
struct SwingField {
  LocalField here;
  std::vector<SwingIron> iron;
  std::string there_place;  ///< empty: no forecast was asked for
  std::optional<LocalField> there;
  std::vector<IronForecast> forecasts;
};

struct SwingDocument {
  SwingSolution swing;
  SwingSource source;
  std::optional<SwingBefore> before;
  std::optional<SwingField> field;
};

/// On which side of a compass's own correction the swings are; by days, so unknown without them.
enum class BoxSide { unknown, before, same_day, after };
struct BoxNote {
  BoxCorrection corrected;
  BoxSide swing = BoxSide::unknown;
  std::optional<BoxSide> earlier;  ///< the swing of --before
  std::string sentence;
};
/// Beside the corrections of the source.
std::vector<BoxNote> box_notes(const SwingDocument& document);
/// "after", "before", "same day" or "unknown".
std::string_view to_word(BoxSide side);

/// One request for `quietnorth swing solve`: what the readings alone do not need.
struct SwingSolveRequest {
  SwingRequest swing;
  std::optional<std::string> before_path;            ///< stations file of the earlier swing
  std::string before_day;                            ///< of it, ISO; empty: not said
  std::optional<double> horizontal_uT, vertical_uT;  ///< of the place, instead of --at and --on
  std::optional<std::string> forecast_at;            ///< LAT,LON[,ALT_m]
};

/// The readings alone: no comparison, no iron.
///
/// errors  OutOfRange naming an option; BadInput naming file, line and column, or a row whose
///         adjuster was turned: its readings are of two curves
Result<SwingDocument> solve_swing_file(const SwingRequest& request);

/// errors  those of the above, for both files; OutOfRange naming --horizontal-uT or --forecast-at
Result<SwingDocument> solve_swing_file(const SwingSolveRequest& request);

/// The sheet of the swing, as the bytes of the file.
Result<std::string> swing_sheet(const SwingDocument& document, SheetFormat format, Paper paper);

/// Of all compasses: `over` when one is, else `unproven` when one is.
VerdictState worst_state(const SwingSolution& swing);

/// What --check asks: every compass `within`.
bool every_verdict_within(const SwingSolution& swing);

/// One request for `quietnorth card`.
struct CardRequest {
  SwingRequest swing;
  int step_deg = 30;
  bool a_removed = false;
  bool worksheet_rule = false;
  std::optional<std::string> loads;      ///< states with a comma between them, two at most
  std::optional<std::string> large;      ///< the state of the first, large column; off unless given
  std::optional<std::string> engine;     ///< running | stopped
  std::optional<std::string> radio;      ///< on | off
  std::optional<std::string> loads_are;  ///< which they are, in words
  std::string by;
  std::string place;  ///< in words; empty: that of --at
  std::string day;    ///< of the swing; empty: that of --on
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
/// Of a swing that is solved already; `request.swing` is not looked at.
Result<CardDocument> make_card_document(SwingDocument swing, const CardRequest& request);

/// The cards to cut out, as the bytes of the file.
/// errors  OutOfRange naming --width-mm
Result<std::string> card_sheet(const CardDocument& document, double width_mm, SheetFormat format,
                               Paper paper);

}  // namespace qn
