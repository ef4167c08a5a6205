// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "vocab/result.h"

namespace qn {

/// A small file whole. errors  BadInput naming the file when it cannot be read or is above 64 MiB.
Result<std::string> read_text_file(const std::string& path);

}  // namespace qn
