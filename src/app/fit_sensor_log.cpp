// SPDX-License-Identifier: Apache-2.0
#include "app/fit_sensor_log.h"

#include <filesystem>
#include <string_view>

#include "acquire/sensor_log.h"
#include "app/codec_stations.h"
#include "app/file_digest.h"
#include "app/fit_options.h"
#include "app/parallel.h"
#include "app/place.h"
#include "app/sheet_context_internal.h"
#include "app/version.h"
#include "report/sensor_fit_sheet.h"

namespace qn {
namespace {

Error stopped() {
  return Error{ErrorKind::Io, "the work was stopped before it was done", "this request",
               "to be left to finish", "ask again when there is time"};
}

Provenance provenance_of(const FitRequest& request, const std::string& name, std::string digest) {
  Provenance out;
  out.log_name = name;
  out.log_sha256 = std::move(digest);
  out.program_version = std::string{program_version()};
  if (request.at) {
    if (const auto place = parse_place(*request.at)) out.place = place_text(place.value());
  }
  out.day = request.on.value_or("");
  out.aircraft = request.aircraft;
  return out;
}

// The procedure knows no files: it says "the sensor log", and the user wants its name.
Error with_file_names(Error error, const std::string& log, const std::string& stations) {
  const auto put = [&error](std::string_view words, const std::string& name) {
    const std::size_t at = error.where.find(words);
    if (at != std::string::npos && !name.empty()) error.where.replace(at, words.size(), name);
  };
  put("the sensor log", log);
  put("the stations file", stations);
  return error;
}

}  // namespace

Result<FitDocument> fit_sensor_log(const FitRequest& request, const Progress& progress) {
  // Options first: a typing mistake should not cost the reading of a long file.
  auto options = parse_fit_options(request);
  if (!options) return options.error();
  if (request.stations_path) {
    auto stations = read_stations(*request.stations_path);
    if (!stations) return stations.error();
    options.value().stations = std::move(stations).value();
  }
  const std::string name = request.log_name.empty()
                               ? std::filesystem::path{request.log_path}.filename().string()
                               : request.log_name;
  const auto tell = [&](const std::string& doing, double fraction) {
    return !progress || progress(doing, fraction);
  };

  SensorLogOptions reading;
  reading.shown_name = name;
  reading.column_map = request.column_map;
  reading.progress = [&](double fraction) { return tell("Reading the recording", 0.5 * fraction); };
  auto recording = read_sensor_log(request.log_path, reading);
  if (!recording) return recording.error();
  if (!tell("Taking its fingerprint", 0.5)) return stopped();
  auto digest = sha256_of_file(request.log_path, name);
  if (!digest) return digest.error();
  if (!tell("Solving", 0.6)) return stopped();
  auto fit = fit_sensor(recording.value(), options.value(), parallel_over_cores());
  if (!fit) {
    const std::filesystem::path stations{request.stations_path.value_or("")};
    return with_file_names(fit.error(), name, stations.filename().string());
  }
  if (!tell("Done", 1.0)) return stopped();

  FitDocument document;
  document.fit = std::move(fit).value();
  document.tally = recording.value().tally;
  for (const std::string& remark : document.tally.remarks) document.fit.notes.push_back(remark);
  document.provenance = provenance_of(request, name, std::move(digest).value());
  return document;
}

Result<std::string> sensor_fit_sheet(const FitDocument& document, SheetFormat format, Paper paper) {
  const SheetContext context = sheet_context(document.provenance, paper);
  return format == SheetFormat::pdf ? sensor_fit_sheet_pdf(document.fit, context)
                                    : sensor_fit_sheet_svg(document.fit, context);
}

}  // namespace qn
