// SPDX-License-Identifier: Apache-2.0
#include "app/finish_run.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <utility>

#include "app/book_recording.h"
#include "app/codec_disturbance.h"
#include "app/codec_marks.h"
#include "app/codec_swing.h"
#include "app/codec_swing_readings.h"
#include "app/decoded_log.h"
#include "app/finding_book.h"
#include "app/folder_of_files.h"
#include "app/utc_now.h"
#include "app/version.h"
#include "procedure/run_turning.h"

namespace qn {
namespace {

namespace fs = std::filesystem;

/// A folder that is gone when it is no longer needed.
class ShortLivedFolder {
 public:
  static Result<ShortLivedFolder> make() {
    std::error_code failed;
    std::string name = fs::temp_directory_path(failed).string() + "/quietnorth-run-XXXXXX";
    if (failed || ::mkdtemp(name.data()) == nullptr) {
      return Error{ErrorKind::Io,
                   fmt::format("no folder can be made: {}",
                               failed ? failed.message() : std::strerror(errno)),
                   "folder for temporary files", "a folder with room for the recording",
                   "make room there, or set TMPDIR; the recording is in the book"};
    }
    return ShortLivedFolder{std::move(name)};
  }
  explicit ShortLivedFolder(std::string path) : path_{std::move(path)} {}
  ShortLivedFolder(ShortLivedFolder&& other) noexcept : path_{std::exchange(other.path_, {})} {}
  ShortLivedFolder& operator=(ShortLivedFolder&&) = delete;
  ~ShortLivedFolder() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
  }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

std::string stations_csv(const std::vector<Mark>& marks) {
  std::string csv = "station_deg\n";
  for (const Mark& mark : marks) {
    if (const auto station = run::station_of(mark.device)) csv += fmt::format("{}\n", *station);
  }
  return csv;
}

/// Its number; 0: there is none.
Result<std::int64_t> finding_of_run(const Book& book, RunId run) {
  const auto all = book.findings();
  if (!all) return all.error();
  for (const FindingRecord& finding : all.value()) {
    if (finding.finding.run == run) return static_cast<std::int64_t>(finding.id);
  }
  return std::int64_t{0};
}

/// One document, kept as a finding of the run unless it has one.
template <class Request, class Document>
Result<Done> keep(FindingBook& findings, const Request& request, const Document& document,
                  RunAnswered& out) {
  out.json = to_json(document);
  if (out.finding != 0) return Done{};
  auto kept = findings.keep(request, document);
  if (!kept) return kept.error();
  out.kept = std::move(kept).value();
  return Done{};
}

Result<Done> work_out_swing(FindingBook& findings, const RunSetup& setup,
                            const std::string& stations_path, RunAnswered& out) {
  const auto read = read_swing_file(stations_path, fs::path{stations_path}.filename().string(), {});
  if (!read) return read.error();
  SwingSolveRequest request = swing_request_of(setup, read.value().readings);
  request.swing.stations_path = stations_path;
  auto document = solve_swing_file(request);
  if (!document) return document.error();
  out.verdict = to_word(worst_state(document.value().swing));
  out.sentence = document.value().swing.sentence;
  const std::vector<double>& left_out_deg = document.value().source.left_out_deg;
  if (!left_out_deg.empty()) out.sentence += "\n" + left_out_words(left_out_deg);
  out.all_within = every_verdict_within(document.value().swing);
  if (auto kept = keep(findings, request, document.value(), out); !kept) return kept;
  out.swing = std::move(document).value();
  return Done{};
}

Result<Done> work_out(FindingBook& findings, const RunSetup& setup,
                      const std::vector<std::string>& paths, RunAnswered& out) {
  if (setup.procedure == RunSetup::Procedure::swing) {
    return work_out_swing(findings, setup, paths[0], out);
  }
  if (setup.procedure == RunSetup::Procedure::sensor) {
    FitRequest request = fit_request_of(setup);
    request.log_path = paths[0];
    request.stations_path = paths[1];
    auto document = fit_sensor_log(request);
    if (!document) return document.error();
    out.verdict = to_word(document.value().fit.verdict.state);
    out.sentence = document.value().fit.sentence;
    out.all_within = document.value().fit.verdict.state == VerdictState::within;
    if (auto kept = keep(findings, request, document.value(), out); !kept) return kept;
    out.fit = std::move(document).value();
    return Done{};
  }
  DisturbanceRequest request = setup.analysis;
  request.log_path = paths[0];
  request.marks_path = paths[1];
  request.equipment_path = paths[2];
  auto document = analyse_disturbance_log(request);
  if (!document) return document.error();
  out.verdict = to_word(document.value().run.verdict.state);
  out.sentence = document.value().run.sentence;
  out.all_within = every_verdict_within(document.value().run);
  if (auto kept = keep(findings, request, document.value(), out); !kept) return kept;
  out.disturbance = std::move(document).value();
  return Done{};
}

}  // namespace

namespace {

/// The stations are all that is needed; what links brought is kept beside them when it is a log.
Result<RunFiles> files_of_swing(Book& book, RecordingId recording, const run::State& state) {
  const auto number = static_cast<std::int64_t>(recording);
  RunFiles files;
  files.marks_name = fmt::format("stations-{}.csv", number);
  files.marks_csv = swing_stations_csv(state);
  if (auto kept = book.set_marks(recording, state.marks); !kept) return kept.error();
  const auto raw = book_link_recording(book, recording);
  if (!raw) return raw.error();
  auto log = decoded_log(raw.value(), {});
  if (!log) return files;
  files.log_name = fmt::format("recording-{}.csv", number);
  files.log_csv = std::move(log.value().csv);
  files.remarks = std::move(log.value().remarks);
  const auto decoded =
      book.add_decoding({DecodingId{}, recording, log.value().link - 1, "sensor log",
                         std::string{program_version()}, "{}", utc_now(), "", files.log_csv});
  if (!decoded) return decoded.error();
  return files;
}

}  // namespace

Result<RunFiles> files_of_run(Book& book, RecordingId recording, const RunSetup& setup,
                              const run::State& state) {
  if (setup.procedure == RunSetup::Procedure::swing) return files_of_swing(book, recording, state);
  const std::vector<Mark>& marks = state.marks;
  const auto raw = book_link_recording(book, recording);
  if (!raw) return raw.error();
  auto log = decoded_log(raw.value(), {});
  if (!log) return log.error();
  const auto number = static_cast<std::int64_t>(recording);
  const bool turning = setup.procedure == RunSetup::Procedure::sensor;
  RunFiles files{fmt::format("recording-{}.csv", number),
                 std::move(log.value().csv),
                 fmt::format("{}-{}.csv", turning ? "stations" : "marks", number),
                 turning ? stations_csv(marks) : marks_csv(marks),
                 "equipment.csv",
                 setup.equipment_csv,
                 std::move(log.value().remarks)};
  if (auto kept = book.set_marks(recording, marks); !kept) return kept.error();
  const auto decoded =
      book.add_decoding({DecodingId{}, recording, log.value().link - 1, "sensor log",
                         std::string{program_version()}, "{}", utc_now(), "", files.log_csv});
  if (!decoded) return decoded.error();
  return files;
}

Result<RunAnswered> answer_of_run(Book& book, RecordingId recording, RunId run,
                                  const RunSetup& setup, const RunFiles& files) {
  const auto folder = ShortLivedFolder::make();
  if (!folder) return folder.error();
  std::vector<FileInFolder> in_folder{{files.marks_name, files.marks_csv}};
  if (setup.procedure != RunSetup::Procedure::swing) {
    in_folder = {{files.log_name, files.log_csv},
                 {files.marks_name, files.marks_csv},
                 {files.equipment_name, files.equipment_csv}};
  }
  const auto paths = write_folder(folder.value().path(), in_folder);
  if (!paths) return paths.error();
  auto findings = FindingBook::of_run(book, setup.configuration, recording, run);
  if (!findings) return findings.error();
  RunAnswered out;
  // One that was kept just before a crash is not kept again.
  const auto before = finding_of_run(book, run);
  if (!before) return before.error();
  out.finding = before.value();
  if (out.finding != 0) out.kept = fmt::format("Kept as finding {} before.", out.finding);
  if (auto done = work_out(findings.value(), setup, paths.value(), out); !done) return done.error();
  const auto now = finding_of_run(book, run);
  if (!now) return now.error();
  out.finding = now.value();
  return out;
}

FitRequest fit_request_of(const RunSetup& setup) {
  FitRequest request;
  request.at = setup.analysis.at;
  request.on = setup.analysis.on;
  request.horizontal_uT = setup.analysis.horizontal_uT;
  request.vertical_uT = setup.analysis.vertical_uT;
  request.mount = setup.analysis.mount;
  request.mount_deg = setup.analysis.mount_deg;
  request.accel_reads = setup.analysis.accel_reads;
  request.limit_deg = setup.analysis.limit_deg;
  request.limit_basis = setup.analysis.limit_basis;
  request.aircraft = setup.analysis.aircraft;
  request.station_sigma_deg = setup.station_sigma_deg;
  request.north_sigma_deg = setup.north_sigma_deg;
  return request;
}

}  // namespace qn
