// SPDX-License-Identifier: Apache-2.0
#include "acquire/descriptor.h"

#include <unistd.h>

#include <array>
#include <cerrno>

namespace qn {

void Descriptor::close() {
  if (number_ >= 0) ::close(number_);
  number_ = -1;
}

ReadBytes read_available(int descriptor) {
  constexpr std::size_t kMost = 256 * 1024;
  ReadBytes got;
  std::array<char, 16384> block;
  while (got.bytes.size() < kMost) {
    const ssize_t count = ::read(descriptor, block.data(), block.size());
    if (count > 0) {
      got.bytes.append(block.data(), static_cast<std::size_t>(count));
      continue;
    }
    if (count < 0 && errno == EINTR) continue;
    if (count < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) break;
    got.over = true;
    got.reason = count < 0 ? errno : 0;
    break;
  }
  return got;
}

}  // namespace qn
