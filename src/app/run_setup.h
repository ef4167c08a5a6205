// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/analyse_disturbance.h"
#include "app/live_links.h"
#include "procedure/run_plan.h"
#include "vocab/result.h"

namespace qn {

/// What a disturbance run was begun with. The book keeps it with the run: the same plan follows
/// from it after a crash, and the answer is worked out with these options and no others.
struct RunSetup {
  DisturbanceRequest analysis;  ///< without files
  std::optional<double> noise_uT, rate_Hz;
  std::vector<LinkRequest> links;
  std::string equipment_csv;
  std::vector<std::string> configuration;  ///< NAME=STATE each: engine, canopy, gear
};

/// Schema quietnorth/run-setup/1 (docs/formats/run-journal.md).
std::string to_json(const RunSetup& setup);
/// errors  Corrupt: not such a text
Result<RunSetup> run_setup_from(const std::string& json);

/// The plan that the engine leads through. The same setup gives the same plan.
/// errors  OutOfRange, BadInput: place, limit, noise; no equipment
Result<std::shared_ptr<const run::Plan>> run_plan_of(const RunSetup& setup);

}  // namespace qn
