// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "app/analyse_disturbance.h"
#include "app/fit_sensor_log.h"
#include "app/run_setup.h"
#include "app/solve_swing.h"
#include "procedure/run_state.h"
#include "store/book.h"
#include "vocab/mark.h"
#include "vocab/result.h"

namespace qn {

/// The files of a run, byte for byte what the answer was worked out from. A turning has its
/// stations, in the order they were reached, in the place of marks, and no equipment; a swing its
/// stations with what was read on them, and a log only when a link brought one.
struct RunFiles {
  std::string log_name, log_csv, marks_name, marks_csv, equipment_name, equipment_csv;
  std::vector<std::string> remarks;  ///< of the decoding
};

/// Decodes the recording of a run; log and marks also go into the book, to be exported.
/// errors  those of the book; BadInput: no field and no heading in it
Result<RunFiles> files_of_run(Book& book, RecordingId recording, const RunSetup& setup,
                              const run::State& state);

/// The stations file of a swing (docs/formats/stations.md): the readings that are kept, and as
/// comments what was read again.
std::string swing_stations_csv(const run::State& state);

struct RunAnswered {
  std::optional<DisturbanceDocument> disturbance;  ///< of its procedure
  std::optional<FitDocument> fit;                  ///< likewise
  std::optional<SwingDocument> swing;              ///< likewise
  std::string verdict, sentence;
  std::string json;         ///< the document
  bool all_within = false;  ///< what --check asks
  std::string kept;         ///< "Kept as finding 3 of brindle.qnbook."
  std::int64_t finding = 0;
};

/// What `disturb analyse`, `sensor fit` or `swing solve` makes of these files with the options of
/// the setup, as a finding of the book. The files are written to a folder of their own, which is
/// removed again. errors  those of analyse_disturbance_log, fit_sensor_log, solve_swing_file and
/// the book; Io: no
///         folder
Result<RunAnswered> answer_of_run(Book& book, RecordingId recording, RunId run,
                                  const RunSetup& setup, const RunFiles& files);

/// The requests of those commands, without paths.
FitRequest fit_request_of(const RunSetup& setup);

}  // namespace qn
