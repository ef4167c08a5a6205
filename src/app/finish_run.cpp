// SPDX-License-Identifier: Apache-2.0
#include "app/finish_run.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <utility>

#include "app/book_recording.h"
#include "app/codec_marks.h"
#include "app/decoded_log.h"
#include "app/finding_book.h"
#include "app/folder_of_files.h"
#include "app/utc_now.h"
#include "app/version.h"

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

}  // namespace

Result<RunFiles> files_of_run(Book& book, RecordingId recording, const RunSetup& setup,
                              const std::vector<Mark>& marks) {
  const auto raw = book_link_recording(book, recording);
  if (!raw) return raw.error();
  auto log = decoded_log(raw.value(), {});
  if (!log) return log.error();
  const auto number = static_cast<std::int64_t>(recording);
  RunFiles files{fmt::format("recording-{}.csv", number),
                 std::move(log.value().csv),
                 fmt::format("marks-{}.csv", number),
                 marks_csv(marks),
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
  const auto paths =
      write_folder(folder.value().path(), {{files.log_name, files.log_csv},
                                           {files.marks_name, files.marks_csv},
                                           {files.equipment_name, files.equipment_csv}});
  if (!paths) return paths.error();
  DisturbanceRequest request = setup.analysis;
  request.log_path = paths.value()[0];
  request.marks_path = paths.value()[1];
  request.equipment_path = paths.value()[2];
  auto document = analyse_disturbance_log(request);
  if (!document) return document.error();
  auto findings = FindingBook::of_run(book, setup.configuration, recording, run);
  if (!findings) return findings.error();
  auto kept = findings.value().keep(request, document.value());
  if (!kept) return kept.error();
  const auto all = book.findings();
  if (!all) return all.error();
  return RunAnswered{std::move(document).value(), std::move(kept).value(),
                     static_cast<std::int64_t>(all.value().back().id)};
}

}  // namespace qn
