// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

#include "vocab/result.h"

namespace qn {

/// Bytes of known length that can be read at any place, from several threads at once.
class ByteSource {
 public:
  virtual ~ByteSource() = default;
  ByteSource(const ByteSource&) = delete;
  ByteSource& operator=(const ByteSource&) = delete;

  /// Length when it was opened.
  std::size_t size() const { return size_; }
  /// How to call it in messages.
  const std::string& name() const { return name_; }

  /// Exactly `count` bytes from `offset`; offset + count <= size().
  /// errors  BadInput when the bytes can no longer be had (file cut short, medium pulled out)
  virtual Result<Done> read_at(std::size_t offset, char* to, std::size_t count) const = 0;

 protected:
  ByteSource(std::string name, std::size_t size) : name_{std::move(name)}, size_{size} {}

 private:
  std::string name_;
  std::size_t size_;
};

/// Opens a plain file. Read by pread, not mapped: a mapped file that is cut short while it is read
/// kills the program with SIGBUS, and windows of a few hundred kilobytes keep memory flat.
///
/// shown_name  for messages; empty: the file name in `path` without folder
/// errors      BadInput: missing, a folder, not a plain file, no permission, unreadable
Result<std::unique_ptr<ByteSource>> open_file(const std::string& path,
                                              const std::string& shown_name = "");

/// Bytes in memory, which must outlive the source. For tests, fuzzing and uploads.
std::unique_ptr<ByteSource> memory_source(std::string_view bytes, std::string name);

}  // namespace qn
