// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <memory>
#include <string>

#include "vocab/result.h"

namespace qn {

/// A file that goes away with the last one who needs it.
class ScratchFile {
 public:
  explicit ScratchFile(std::string path) : path_{std::move(path)} {}
  ~ScratchFile();
  ScratchFile(const ScratchFile&) = delete;
  ScratchFile& operator=(const ScratchFile&) = delete;
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

/// A folder of this run alone, readable by nobody else, removed with everything in it at the end.
class ScratchFolder {
 public:
  /// parent  empty: the system's folder for temporary files
  /// errors  Io when it cannot be made
  static Result<std::unique_ptr<ScratchFolder>> make(const std::string& parent);
  ~ScratchFolder();
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;

  std::string new_path();  ///< inside it, never given twice; from any thread
  /// name    its last part, as messages about the file will show it; no folder in it
  /// errors  Io when the disk does not take it
  Result<std::shared_ptr<ScratchFile>> write(const std::string& bytes, const std::string& name);

 private:
  explicit ScratchFolder(std::string path) : path_{std::move(path)} {}
  std::string path_;
  std::atomic<unsigned long> count_{0};
};

}  // namespace qn
