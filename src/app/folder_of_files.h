// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn {

struct FileInFolder {
  std::string name;  ///< without a folder
  std::string bytes;
};

/// Makes the folder when it is not there, and writes all the files or none: what was written
/// before a failure is taken away again.
///
/// returns  the paths as written, in the order of `files`
/// errors   OutOfRange naming option --out: no folder named. Io: the folder or a file cannot be
/// made
Result<std::vector<std::string>> write_folder(const std::string& folder,
                                              const std::vector<FileInFolder>& files);

}  // namespace qn
