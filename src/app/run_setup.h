// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "app/analyse_disturbance.h"
#include "app/live_links.h"
#include "procedure/run_plan.h"
#include "vocab/result.h"

namespace qn {

/// What a run was begun with. The book keeps it with the run: the same plan follows from it after a
/// crash, and the answer is worked out with these options and no others.
struct RunSetup {
  enum class Procedure {
    disturbance,  ///< every device of the list in turn: `disturb analyse` at the end
    sensor,       ///< the aircraft turned onto stations: `sensor fit` at the end
  };
  Procedure procedure = Procedure::disturbance;
  DisturbanceRequest analysis;  ///< without files; a turning uses what it shares with a fit
  std::optional<double> noise_uT, rate_Hz;
  std::vector<double> stations_deg;                          ///< of a turning, in their order
  std::optional<double> station_sigma_deg, north_sigma_deg;  ///< of a turning
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

/// So many stations, evenly from north on.
std::vector<double> even_run_stations_deg(std::size_t count);

/// The plan that the engine leads through. The same setup gives the same plan.
/// errors  OutOfRange, BadInput: place, limit, noise; no equipment
Result<std::shared_ptr<const run::Plan>> run_plan_of(const RunSetup& setup);

}  // namespace qn
