// SPDX-License-Identifier: Apache-2.0
#include "app/folder_of_files.h"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

#include "app/write_file.h"

namespace qn {

namespace fs = std::filesystem;

Result<std::vector<std::string>> write_folder(const std::string& folder,
                                              const std::vector<FileInFolder>& files) {
  if (folder.empty()) {
    return Error{ErrorKind::OutOfRange, "no folder was named", "option --out",
                 "a folder for the files; it is made when it is not there", "add --out FOLDER"};
  }
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed || !fs::is_directory(folder, failed)) {
    return Error{ErrorKind::Io,
                 fmt::format("the folder cannot be made: {}",
                             failed ? failed.message() : "a file of that name is in the way"),
                 folder, "a folder that is there or can be made",
                 "choose another folder; nothing was written"};
  }
  std::vector<std::string> paths;
  for (const FileInFolder& file : files) {
    const std::string path = (fs::path{folder} / file.name).string();
    if (const auto written = write_file(path, file.bytes); !written) {
      for (const std::string& made : paths) {
        std::error_code ignored;
        fs::remove(made, ignored);
      }
      return written.error();
    }
    paths.push_back(path);
  }
  return paths;
}

}  // namespace qn
