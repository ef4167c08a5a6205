// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace qn {

// What a book holds, as plain values. Texts are UTF-8; a text that is not known is empty. Times
// named _s are seconds of their recording, on a monotonic clock; _utc is ISO 8601. The meaning of
// JSON texts (options, plans, payloads) is not the store's business.

enum class SensorId : std::int64_t {};
enum class SiteId : std::int64_t {};
enum class RecordingId : std::int64_t {};
enum class DecodingId : std::int64_t {};
enum class RunId : std::int64_t {};
enum class FindingId : std::int64_t {};

struct BookHead {
  std::string aircraft;     ///< its name, as its owner calls it
  std::string created_utc;  ///< when the book was made
  std::string note;
};

struct SensorRecord {
  SensorId id{};
  std::string name;         ///< one of a kind in the book, capitals do not count
  std::string unit;         ///< of its field columns: "uT", or "raw" for counts
  std::string mounting;     ///< its axes in the airframe, as --mount or --mount-deg take them
  std::string accel_reads;  ///< "up", "down" or empty
  std::string note;
};

struct SiteRecord {
  SiteId id{};
  std::string name;  ///< likewise
  std::optional<double> latitude_deg, longitude_deg, altitude_m;
  std::optional<double> horizontal_uT, vertical_uT;  ///< as measured there
  std::string note;
};

/// One of the things that a recording listens to at once.
struct LinkRecord {
  std::string name;    ///< "sensor", "display heading"
  std::string source;  ///< where it was heard: "serial by-id/...", "udp :10110"
  std::optional<SensorId> sensor;
};

struct NewRecording {
  std::string name;
  std::string started_utc;  ///< the UTC anchor of second 0
  std::optional<SiteId> site;
  std::string note;
  std::vector<LinkRecord> links;  ///< numbered from 0 in this order
};

struct RecordingRecord {
  RecordingId id{};
  NewRecording head;
  std::optional<double> ended_s;           ///< nothing: it was never ended properly
  std::optional<double> complete_until_s;  ///< up to here nothing that came is missing
  std::size_t stretches = 0;
  std::size_t bytes = 0;  ///< of all links
};

/// So many bytes came at this moment.
struct Piece {
  std::uint32_t bytes = 0;
  double arrival_s = 0.0;
  friend bool operator==(const Piece&, const Piece&) = default;
};

/// What one link brought during a stretch, exactly as received.
struct LinkBytes {
  std::size_t link = 0;
  std::string bytes;
  std::vector<Piece> pieces;  ///< their bytes add up to bytes.size()
};

/// A stretch of a recording, acknowledged as one: everything that came from `from_s` until
/// `until_s`. A link that was silent has no entry; that it was listened to is known all the same.
struct Stretch {
  double from_s = 0.0;
  double until_s = 0.0;
  std::vector<LinkBytes> links;
};

/// How raw bytes were, or are to be, understood. A better decoder adds another; none replaces the
/// bytes.
struct DecodingRecord {
  DecodingId id{};
  RecordingId recording{};
  std::size_t link = 0;
  std::string decoder, decoder_version;
  std::string settings;  ///< JSON: column mapping and the like
  std::string made_utc;
  std::string tally;                   ///< JSON: accepted, rejected, first bad offset
  std::optional<std::string> samples;  ///< what came out, for example a sensor log as CSV
};

struct NewRun {
  std::string procedure;  ///< "disturbance"
  std::optional<RecordingId> recording;
  std::string started_utc;
  std::string plan;  ///< JSON
};

struct RunRecord {
  RunId id{};
  NewRun head;
  std::optional<double> ended_s;  ///< nothing: it can go on
  std::size_t events = 0;
};

/// Something that was said, shown or tapped in a run.
struct RunEvent {
  double time_s = 0.0;
  std::string kind;     ///< "prompt", "tap"
  std::string payload;  ///< JSON
  std::string key;      ///< of the one who sent it: the same key twice is one event. Empty: none
};

struct FindingInput {
  std::string role;    ///< "log", "marks", "equipment"
  std::string name;    ///< file name without folder
  std::string sha256;  ///< of the bytes; empty when they are given: then the book computes it
  std::optional<std::string> bytes;  ///< nothing: too large to keep, the hash must do
};

struct NewFinding {
  std::string made_utc;
  std::string command;  ///< "disturb analyse"
  std::string program_version;
  std::optional<RecordingId> recording;
  std::optional<RunId> run;
  std::string verdict;        ///< within | over | unproven
  std::string sentence;       ///< the answer in words
  std::string options;        ///< JSON, as given
  std::string configuration;  ///< JSON: the state of every device, engine, canopy, gear
  std::string result;         ///< JSON, the document
  std::vector<FindingInput> inputs;
};

struct FindingRecord {
  FindingId id{};
  NewFinding finding;         ///< inputs come with their hashes; bytes by content()
  std::string result_sha256;  ///< of `result`
  std::string sha256;         ///< of all of it, inputs included by their hashes
};

}  // namespace qn
