// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>

namespace qn {

/// Owns a file descriptor.
class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int number) : number_{number} {}
  ~Descriptor() { close(); }
  Descriptor(Descriptor&& other) noexcept : number_{std::exchange(other.number_, -1)} {}
  Descriptor& operator=(Descriptor&& other) noexcept {
    if (this != &other) {
      close();
      number_ = std::exchange(other.number_, -1);
    }
    return *this;
  }
  int get() const { return number_; }
  explicit operator bool() const { return number_ >= 0; }
  void close();

 private:
  int number_ = -1;
};

/// What a descriptor that does not block has to give.
struct ReadBytes {
  std::string bytes;
  bool over = false;  ///< end of file, or an error: nothing more will come
  int reason = 0;     ///< errno when it was an error
};
/// Reads until nothing is left, at most 256 KiB, so that no link keeps the others waiting.
ReadBytes read_available(int descriptor);

}  // namespace qn
