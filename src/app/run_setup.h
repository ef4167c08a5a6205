// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/analyse_disturbance.h"
#include "app/live_links.h"
#include "app/solve_swing.h"
#include "app/swing_input.h"
#include "procedure/run_plan.h"
#include "vocab/result.h"

namespace qn {

/// A swing, as it is asked for.
struct SwingRunSetup {
  int stations = 8;
  bool both_ways = false;
  std::vector<std::string> compasses;    ///< names, in the order they are read
  std::optional<std::string> from_link;  ///< the one whose heading the link shows
  std::vector<std::string> loads;        ///< off, on
  std::optional<double> hold_s;
  SwingRequest request;  ///< limits and sigmas; without a file
};

/// What a run was begun with. The book keeps it with the run: the same plan follows from it after a
/// crash, and the answer is worked out with these options and no others.
struct RunSetup {
  enum class Procedure {
    disturbance,  ///< every device of the list in turn: `disturb analyse` at the end
    sensor,       ///< the aircraft turned onto stations: `sensor fit` at the end
    swing,        ///< and every compass read there: `swing solve` at the end
  };
  Procedure procedure = Procedure::disturbance;
  DisturbanceRequest analysis;  ///< without files; a turning uses what it shares with a fit
  std::optional<double> noise_uT, rate_Hz;
  std::vector<double> stations_deg;                          ///< of a turning, in their order
  std::optional<double> station_sigma_deg, north_sigma_deg;  ///< of a turning
  SwingRunSetup swing;
  std::vector<LinkRequest> links;
  std::string equipment_csv;
  std::vector<std::string> configuration;  ///< NAME=STATE each: engine, canopy, gear
};

/// Schema quietnorth/run-setup/1 (docs/formats/run-journal.md).
std::string to_json(const RunSetup& setup);
/// errors  Corrupt: not such a text
Result<RunSetup> run_setup_from(const std::string& json);

std::string to_word(RunSetup::Procedure procedure);
std::optional<RunSetup::Procedure> run_procedure_from(std::string_view word);

/// "standby", or "standby:10" with its limit in degrees: adds it.
/// errors  OutOfRange: a limit that is no number, a name twice or none
Result<Done> add_swing_compass(const std::string& text, SwingRunSetup& setup);

/// "off,on": the states of the loads.
/// errors  OutOfRange: another word
Result<std::vector<std::string>> swing_loads_from(const std::string& text);

/// How the readings of a swing are taken.
SwingRequest swing_reading_of(const RunSetup& setup);

/// What `swing solve` is asked for at the end, without the file; a limit of a compass that is not
/// among `read` is left out.
SwingSolveRequest swing_request_of(const RunSetup& setup, const std::vector<SwingReading>& read);

/// So many stations, evenly from north on.
std::vector<double> even_run_stations_deg(std::size_t count);

/// The plan that the engine leads through. The same setup gives the same plan.
/// errors  OutOfRange, BadInput: place, limit, noise; no equipment
Result<std::shared_ptr<const run::Plan>> run_plan_of(const RunSetup& setup);

}  // namespace qn
