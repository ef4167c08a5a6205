// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/analyse_disturbance.h"
#include "app/fit_sensor_log.h"
#include "app/solve_air.h"
#include "app/solve_swing.h"
#include "store/book.h"

namespace qn {

/// `--book FILE` of a command that ends in a verdict: its inputs, options, the configuration of the
/// aircraft and the result go into the book as one finding, whole or not at all.
class FindingBook {
 public:
  /// Before the work, so that a wrong name does not cost it, and so that nobody else takes the book
  /// meanwhile. Without a path nothing is kept.
  ///
  /// configuration  NAME=STATE each, of what the command itself does not know: engine, canopy, gear
  /// errors         OutOfRange naming --configuration; those of Book::open
  static Result<FindingBook> open(const std::optional<std::string>& path,
                                  const std::vector<std::string>& configuration);

  /// The same for a run whose book is open already; `book` must outlive it.
  static Result<FindingBook> of_run(Book& book, const std::vector<std::string>& configuration,
                                    RecordingId recording, RunId run);

  /// The same in a book that is open already, of no run; `book` must outlive it.
  static Result<FindingBook> in(Book& book, const std::vector<std::string>& configuration);

  /// returns  "Kept as finding 3 of brindle.qnbook.", or nothing to say without a book
  /// errors   BadInput when a file is no longer the one that was worked on; those of the book
  Result<std::string> keep(const FitRequest& request, const FitDocument& document);
  Result<std::string> keep(const DisturbanceRequest& request, const DisturbanceDocument& document);
  Result<std::string> keep(const SwingSolveRequest& request, const SwingDocument& document);
  Result<std::string> keep(const AirRequest& request, const AirDocument& document);
  /// The same, but one that is in the book already is named and not kept again: who asked over a
  /// network and heard no answer asks once more.
  Result<std::string> keep_once(const AirRequest& request, const AirDocument& document);

 private:
  FindingBook() = default;
  Result<std::string> add(NewFinding finding);
  Result<NewFinding> finding_of_air(const AirRequest& request, const AirDocument& document) const;
  Book* book() { return borrowed_ != nullptr ? borrowed_ : book_ ? &*book_ : nullptr; }
  Result<Done> take_configuration(const std::vector<std::string>& configuration, bool has_book);
  std::optional<Book> book_;
  Book* borrowed_ = nullptr;
  std::optional<RecordingId> recording_;
  std::optional<RunId> run_;
  std::vector<std::pair<std::string, std::string>> configuration_;
};

/// A file whose bytes the book takes in; larger ones it knows by name and hash only.
inline constexpr std::uintmax_t kLargestKeptInput = 64ULL << 20;

}  // namespace qn
