// SPDX-License-Identifier: Apache-2.0
#include "app/analyse_disturbance.h"

#include <algorithm>
#include <filesystem>
#include <string_view>
#include <utility>

#include "acquire/sensor_log.h"
#include "app/codec_equipment.h"
#include "app/codec_marks.h"
#include "app/disturbance_options_internal.h"
#include "app/file_digest.h"
#include "app/parallel.h"
#include "app/place.h"
#include "app/version.h"
#include "procedure/recording_at_rest.h"

namespace qn {
namespace {

std::string shown(const std::string& name, const std::string& path) {
  return name.empty() ? std::filesystem::path{path}.filename().string() : name;
}

Error stopped() {
  return Error{ErrorKind::Io, "the work was stopped before it was done", "this request",
               "to be left to finish", "ask again when there is time"};
}

Error one_run_is_enough() {
  return Error{ErrorKind::OutOfRange, "a log of the field needs no second run", "option --also",
               "logs of a display's heading only; with three axes one heading of the aircraft is "
               "enough",
               "leave --also out, and analyse each run by itself"};
}

Error no_heading(const std::string& name) {
  return Error{
      ErrorKind::BadInput, "the log holds a field and no heading", name,
      "a column heading_deg, as in the first log: runs are joined by what the display showed",
      "give the display's log of that run, or analyse this one by itself"};
}

Result<SourceFile> source_file(const std::string& path, const std::string& name) {
  auto digest = sha256_of_file(path, name);
  if (!digest) return digest.error();
  return SourceFile{name, std::move(digest).value()};
}

// The procedure knows no files: it says "the marks, line 9", and the user wants the file's name.
Error with_file_names(Error error, const LoadedDisturbance& loaded) {
  const auto put = [&error](std::string_view words, const std::string& name) {
    const std::size_t at = error.where.find(words);
    if (at != std::string::npos && !name.empty()) error.where.replace(at, words.size(), name);
  };
  for (std::size_t k = 0; k < loaded.further.size(); ++k) {
    const std::string number = "log " + std::to_string(k + 2) + ", ";
    if (error.where.rfind(number, 0) != 0) continue;
    error.where.erase(0, number.size());
    put("the sensor log", loaded.further[k].log_file.name);
    put("the marks", loaded.further[k].marks_file.name);
  }
  put("the sensor log", loaded.provenance.log_name);
  put("the recording", loaded.provenance.log_name);
  put("the marks", loaded.marks_file.name);
  if (loaded.equipment_file) put("the equipment list", loaded.equipment_file->name);
  return error;
}

std::optional<Error> read_lists(const DisturbanceRequest& request, LoadedDisturbance& out) {
  if (request.equipment_path) {
    const std::string name = shown(request.equipment_name, *request.equipment_path);
    auto equipment = read_equipment(*request.equipment_path, name);
    if (!equipment) return equipment.error();
    auto file = source_file(*request.equipment_path, name);
    if (!file) return file.error();
    out.options.equipment = std::move(equipment).value();
    out.equipment_file = std::move(file).value();
  }
  const std::string name = shown(request.marks_name, request.marks_path);
  auto marks = read_marks(request.marks_path, name);
  if (!marks) return marks.error();
  auto file = source_file(request.marks_path, name);
  if (!file) return file.error();
  out.marks = std::move(marks).value();
  out.marks_file = std::move(file).value();
  return std::nullopt;
}

void set_provenance(const DisturbanceRequest& request, SourceFile log, Provenance& out) {
  out.log_name = std::move(log.name);
  out.log_sha256 = std::move(log.sha256);
  out.program_version = std::string{program_version()};
  if (request.at) {
    if (const auto place = parse_place(*request.at)) out.place = place_text(place.value());
  }
  out.day = request.on.value_or("");
  out.aircraft = request.aircraft;
}

constexpr const char* kNoMounting =
    "No mounting is given: the sensor's x is taken as forward, y as right, z as down. When it is "
    "turned about the vertical, sizes stay and the headings at which they are worst turn with it; "
    "when it is tilted, sizes change (--mount).";

SensorLogOptions reading_of(const DisturbanceRequest& request, std::string shown_name) {
  SensorLogOptions out;
  out.shown_name = std::move(shown_name);
  out.column_map = request.column_map;
  out.needs = LogNeeds::field_or_heading;
  return out;
}

Result<FurtherRun> read_further(const DisturbanceRequest& request,
                                const DisturbanceRequest::Further& asked) {
  FurtherRun out;
  out.run.aircraft_heading_deg = asked.aircraft_heading_deg;
  const std::string log_name = shown("", asked.log_path);
  const std::string marks_name = shown("", asked.marks_path);
  auto recording = read_sensor_log(asked.log_path, reading_of(request, log_name));
  if (!recording) return recording.error();
  if (recording.value().heading_deg.empty()) return no_heading(log_name);
  auto marks = read_marks(asked.marks_path, marks_name);
  if (!marks) return marks.error();
  auto log_file = source_file(asked.log_path, log_name);
  if (!log_file) return log_file.error();
  auto marks_file = source_file(asked.marks_path, marks_name);
  if (!marks_file) return marks_file.error();
  out.run.recording = std::move(recording).value();
  out.run.marks = std::move(marks).value();
  out.log_file = std::move(log_file).value();
  out.marks_file = std::move(marks_file).value();
  return out;
}

Result<DisturbanceRun> analyse_displays(const LoadedDisturbance& loaded) {
  std::vector<HeadingLog> logs;
  logs.push_back({loaded.recording, loaded.marks, loaded.options.aircraft_heading_deg});
  for (const FurtherRun& further : loaded.further) logs.push_back(further.run);
  return analyse_heading_logs(logs, loaded.options, loaded.heading_source, parallel_over_cores());
}

// Specific force is wanted, (0, 0, -1) g level and at rest; see docs/formats/sensor-log.md.
void turn_over(std::array<std::vector<double>, 3>& accel_g) {
  for (auto& axis : accel_g) {
    for (double& value : axis) value = -value;
  }
}

}  // namespace

Result<LoadedDisturbance> load_disturbance(const DisturbanceRequest& request,
                                           const Progress& progress) {
  // What is quickly judged comes first: a typing mistake should not cost the reading of a long log.
  const auto parsed = parse_disturbance_options(request);
  if (!parsed) return parsed.error();
  LoadedDisturbance out;
  out.options = parsed.value().options;
  out.heading_source = parsed.value().heading_source;
  out.mounting_given = request.mount || request.mount_deg;
  if (auto bad = read_lists(request, out)) return *bad;
  const auto tell = [&](const std::string& doing, double fraction) {
    return !progress || progress(doing, fraction);
  };

  const std::string name = shown(request.log_name, request.log_path);
  SensorLogOptions reading = reading_of(request, name);
  reading.progress = [&](double fraction) { return tell("Reading the recording", 0.5 * fraction); };
  auto recording = read_sensor_log(request.log_path, reading);
  if (!recording) return recording.error();
  if (!tell("Taking its fingerprint", 0.5)) return stopped();
  auto log_file = source_file(request.log_path, name);
  if (!log_file) return log_file.error();
  set_provenance(request, std::move(log_file).value(), out.provenance);
  if (recording.value().field[0].empty()) {
    out.recording = std::move(recording).value();
    for (const DisturbanceRequest::Further& asked : request.also) {
      auto further = read_further(request, asked);
      if (!further) return further.error();
      out.further.push_back(std::move(further).value());
    }
    return out;
  }
  if (!request.also.empty()) return one_run_is_enough();
  if (auto bad = check_recording_at_rest(recording.value(), out.options.earth)) {
    return with_file_names(std::move(*bad), out);
  }
  if (parsed.value().accelerometer_reads_down) turn_over(recording.value().accel_g);
  out.recording = in_body_axes(std::move(recording).value(), parsed.value().mounting);
  return out;
}

Result<DisturbanceDocument> analyse_loaded(const LoadedDisturbance& loaded) {
  const bool display = loaded.recording.field[0].empty();
  auto run = display ? analyse_displays(loaded)
                     : analyse_disturbance(loaded.recording, loaded.marks, loaded.options,
                                           parallel_over_cores());
  if (!run) return with_file_names(run.error(), loaded);
  DisturbanceDocument out;
  out.run = std::move(run).value();
  out.tally = loaded.recording.tally;
  out.run.remarks.insert(out.run.remarks.end(), out.tally.remarks.begin(), out.tally.remarks.end());
  for (const FurtherRun& further : loaded.further) {
    for (const std::string& remark : further.run.recording.tally.remarks) {
      out.run.remarks.push_back(further.log_file.name + ": " + remark);
    }
    out.further.push_back({further.log_file, further.marks_file});
  }
  if (!loaded.mounting_given && !display) out.run.assumptions.emplace_back(kNoMounting);
  out.samples = loaded.recording.size();
  out.provenance = loaded.provenance;
  out.marks_file = loaded.marks_file;
  out.equipment_file = loaded.equipment_file;
  out.aircraft_heading_deg = loaded.options.aircraft_heading_deg;
  out.rigid = loaded.options.rigid;
  return out;
}

Result<DisturbanceDocument> analyse_disturbance_log(const DisturbanceRequest& request,
                                                    const Progress& progress) {
  const auto loaded = load_disturbance(request, progress);
  if (!loaded) return loaded.error();
  if (progress && !progress("Finding what each device does", 0.6)) return stopped();
  auto document = analyse_loaded(loaded.value());
  if (!document) return document.error();
  if (progress && !progress("Done", 1.0)) return stopped();
  return document;
}

bool every_verdict_within(const DisturbanceRun& run) {
  const auto within = [](const auto& judged) {
    return judged.verdict.state == VerdictState::within;
  };
  return within(run) &&
         std::all_of(run.devices.begin(), run.devices.end(),
                     [&](const DeviceEffect& device) {
                       return std::all_of(device.states.begin(), device.states.end(), within);
                     }) &&
         std::all_of(run.combinations.begin(), run.combinations.end(), within);
}

}  // namespace qn
