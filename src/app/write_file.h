// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "vocab/result.h"

namespace qn {

/// Writes a file whole or not at all: to a hidden file beside it, onto the disk, then renamed. A
/// file that was there keeps its permissions, and stays as it was when anything fails. A link is
/// followed; a device such as /dev/stdout is written to as it is.
///
/// errors  Io
Result<Done> write_file(const std::string& path, std::string_view bytes);

}  // namespace qn
