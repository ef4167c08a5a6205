// SPDX-License-Identifier: Apache-2.0
#include "vocab/result.h"

namespace qn {

std::string to_text(const Error& error) {
  return error.what + "\n  where:    " + error.where + "\n  expected: " + error.expected +
         "\n  do:       " + error.remedy;
}

}  // namespace qn
