// SPDX-License-Identifier: Apache-2.0
#include "app/finding_book.h"

#include <fmt/format.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <utility>

#include "app/codec_air.h"
#include "app/codec_disturbance.h"
#include "app/codec_equipment.h"
#include "app/codec_swing.h"
#include "app/file_digest.h"
#include "app/finding_options_internal.h"
#include "app/read_text_file.h"
#include "app/utc_now.h"
#include "app/version.h"

namespace qn {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

std::string name_of(const std::string& shown, const std::string& path) {
  return shown.empty() ? fs::path{path}.filename().string() : shown;
}

/// sha256  of the bytes that were worked on; empty when the document does not say
Result<FindingInput> input_of(std::string role, const std::string& path, std::string name,
                              std::string sha256) {
  FindingInput input{std::move(role), std::move(name), std::move(sha256), std::nullopt};
  std::error_code trouble;
  const auto size = fs::file_size(path, trouble);
  if (!trouble && size > kLargestKeptInput) {
    if (!input.sha256.empty()) return input;
    auto digest = sha256_of_file(path, input.name);
    if (!digest) return digest.error();
    input.sha256 = std::move(digest).value();
    return input;
  }
  auto bytes = read_text_file(path);
  if (!bytes) return bytes.error();
  input.bytes = std::move(bytes).value();
  return input;
}

std::string configuration_text(const std::vector<std::pair<std::string, std::string>>& base,
                               const std::vector<std::pair<std::string, std::string>>& given) {
  Json json = Json::object();
  for (const auto* list : {&base, &given}) {
    for (const auto& [name, state] : *list) json[name] = state;
  }
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

NewFinding finding_of(const char* command, const Provenance& from) {
  NewFinding finding;
  finding.made_utc = utc_now();
  finding.command = command;
  finding.program_version = from.program_version;
  return finding;
}

}  // namespace

Result<Done> FindingBook::take_configuration(const std::vector<std::string>& configuration,
                                             bool has_book) {
  for (const std::string& one : configuration) {
    const std::size_t equals = one.find('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == one.size() || !has_book) {
      return Error{ErrorKind::OutOfRange,
                   has_book ? fmt::format("'{}' does not say what stood how", one)
                            : "a configuration is kept in a book, and none is named",
                   "option --configuration", "NAME=STATE, together with --book FILE",
                   "for example --book brindle.qnbook --configuration canopy=closed"};
    }
    configuration_.emplace_back(one.substr(0, equals), one.substr(equals + 1));
  }
  return Done{};
}

Result<FindingBook> FindingBook::of_run(Book& book, const std::vector<std::string>& configuration,
                                        RecordingId recording, RunId run) {
  FindingBook out;
  if (auto taken = out.take_configuration(configuration, true); !taken) return taken.error();
  out.borrowed_ = &book;
  out.recording_ = recording;
  out.run_ = run;
  return out;
}

Result<FindingBook> FindingBook::in(Book& book, const std::vector<std::string>& configuration) {
  FindingBook out;
  if (auto taken = out.take_configuration(configuration, true); !taken) return taken.error();
  out.borrowed_ = &book;
  return out;
}

Result<FindingBook> FindingBook::open(const std::optional<std::string>& path,
                                      const std::vector<std::string>& configuration) {
  FindingBook out;
  const auto taken = out.take_configuration(configuration, path.has_value());
  if (!taken) return taken.error();
  if (!path) return out;
  auto book = Book::open(*path);
  if (!book) return book.error();
  out.book_.emplace(std::move(book).value());
  return out;
}

Result<std::string> FindingBook::add(NewFinding finding) {
  finding.recording = recording_;
  finding.run = run_;
  const auto id = book()->add_finding(finding);
  if (!id) return id.error();
  std::string words =
      fmt::format("Kept as finding {} of {}.", static_cast<std::int64_t>(id.value()),
                  fs::path{book()->path()}.filename().string());
  for (const FindingInput& input : finding.inputs) {
    if (!input.bytes) {
      words += fmt::format(" {} is larger than 64 MiB: its name and hash are kept, keep the file.",
                           input.name);
    }
  }
  return words;
}

Result<std::string> FindingBook::keep(const FitRequest& request, const FitDocument& document) {
  if (book() == nullptr) return std::string{};
  NewFinding finding = finding_of("sensor fit", document.provenance);
  finding.verdict = to_word(document.fit.verdict.state);
  finding.sentence = document.fit.sentence;
  finding.options = options_of(request);
  finding.configuration = configuration_text({}, configuration_);
  finding.result = to_json(document) + "\n";
  auto log = input_of("log", request.log_path, document.provenance.log_name,
                      document.provenance.log_sha256);
  if (!log) return log.error();
  finding.inputs.push_back(std::move(log).value());
  if (request.stations_path) {
    auto stations =
        input_of("stations", *request.stations_path, name_of("", *request.stations_path), "");
    if (!stations) return stations.error();
    finding.inputs.push_back(std::move(stations).value());
  }
  return add(std::move(finding));
}

Result<std::string> FindingBook::keep(const SwingSolveRequest& request,
                                      const SwingDocument& document) {
  if (book() == nullptr) return std::string{};
  Provenance from;
  from.program_version = document.source.program_version;
  NewFinding finding = finding_of("swing solve", from);
  finding.verdict = to_word(worst_state(document.swing));
  finding.sentence = document.swing.sentence;
  finding.options = options_of(request);
  finding.configuration = configuration_text({}, configuration_);
  finding.result = to_json(document) + "\n";
  auto stations = input_of("stations", request.swing.stations_path, document.source.stations_name,
                           document.source.stations_sha256);
  if (!stations) return stations.error();
  finding.inputs.push_back(std::move(stations).value());
  if (request.before_path && document.before) {
    const SwingSource& earlier = document.before->source;
    auto before = input_of("stations before", *request.before_path, earlier.stations_name,
                           earlier.stations_sha256);
    if (!before) return before.error();
    finding.inputs.push_back(std::move(before).value());
  }
  return add(std::move(finding));
}

Result<NewFinding> FindingBook::finding_of_air(const AirRequest& request,
                                               const AirDocument& document) const {
  Provenance from;
  from.program_version = document.program_version;
  NewFinding finding = finding_of("air solve", from);
  finding.verdict = to_word(document.air.verdict.state);
  finding.sentence = document.air.sentence;
  finding.options = options_of(request);
  finding.configuration = configuration_text({}, configuration_);
  finding.result = to_json(document) + "\n";
  auto flight = input_of("flight", request.path, document.file_name, document.file_sha256);
  if (!flight) return flight.error();
  finding.inputs.push_back(std::move(flight).value());
  return finding;
}

Result<std::string> FindingBook::keep(const AirRequest& request, const AirDocument& document) {
  if (book() == nullptr) return std::string{};
  auto finding = finding_of_air(request, document);
  if (!finding) return finding.error();
  return add(std::move(finding).value());
}

Result<std::string> FindingBook::keep_once(const AirRequest& request, const AirDocument& document) {
  if (book() == nullptr) return std::string{};
  auto finding = finding_of_air(request, document);
  if (!finding) return finding.error();
  const NewFinding& wanted = finding.value();
  const auto all = book()->findings();
  if (!all) return all.error();
  for (const FindingRecord& kept : all.value()) {
    const NewFinding& is = kept.finding;
    // The document has the hash of the flight in it.
    if (is.command == wanted.command && is.options == wanted.options &&
        is.configuration == wanted.configuration && is.result == wanted.result) {
      return fmt::format("It is finding {} of {} already.", static_cast<std::int64_t>(kept.id),
                         fs::path{book()->path()}.filename().string());
    }
  }
  return add(std::move(finding).value());
}

Result<std::string> FindingBook::keep(const DisturbanceRequest& request,
                                      const DisturbanceDocument& document) {
  if (book() == nullptr) return std::string{};
  NewFinding finding = finding_of("disturb analyse", document.provenance);
  finding.verdict = to_word(document.run.verdict.state);
  finding.sentence = document.run.sentence;
  finding.options = options_of(request);
  finding.result = to_json(document) + "\n";

  struct File {
    std::string role;
    const std::string& path;
    std::string name, sha256;
  };
  std::vector<File> files = {
      {"log", request.log_path, document.provenance.log_name, document.provenance.log_sha256},
      {"marks", request.marks_path, document.marks_file.name, document.marks_file.sha256}};
  if (request.equipment_path && document.equipment_file) {
    files.push_back({"equipment", *request.equipment_path, document.equipment_file->name,
                     document.equipment_file->sha256});
  }
  int number = 1;
  for (const DisturbanceRequest::Further& further : request.also) {
    ++number;
    files.push_back(
        {fmt::format("log {}", number), further.log_path, name_of("", further.log_path), ""});
    files.push_back(
        {fmt::format("marks {}", number), further.marks_path, name_of("", further.marks_path), ""});
  }
  std::vector<std::pair<std::string, std::string>> reference;
  for (const File& file : files) {
    auto input = input_of(file.role, file.path, file.name, file.sha256);
    if (!input) return input.error();
    if (input.value().role == "equipment" && input.value().bytes) {
      // The state from which everything was worked: the reference of each device of the list.
      const auto devices = parse_equipment(*input.value().bytes, file.name);
      if (!devices) return devices.error();
      for (const Device& d : devices.value()) reference.emplace_back(d.name, d.states.front());
    }
    finding.inputs.push_back(std::move(input).value());
  }
  finding.configuration = configuration_text(reference, configuration_);
  return add(std::move(finding));
}

}  // namespace qn
