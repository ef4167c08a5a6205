// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "vocab/result.h"

namespace qn {

/// A file that appears under its name when it is complete, never before, and never in the place of
/// another.
class NewFile {
 public:
  /// errors  Io: something of that name is there already
  static Result<NewFile> at(const std::string& path);
  NewFile(NewFile&& other) noexcept
      : path_{std::move(other.path_)}, partial_{std::move(other.partial_)} {
    other.partial_.clear();
  }
  NewFile& operator=(NewFile&&) = delete;
  ~NewFile();
  /// Where to build it: in the same folder.
  const std::string& partial() const { return partial_; }
  /// Onto the disk and under its name.
  Result<Done> publish();

 private:
  NewFile(std::string path, std::string partial)
      : path_{std::move(path)}, partial_{std::move(partial)} {}
  std::string path_, partial_;
};

}  // namespace qn
