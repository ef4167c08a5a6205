// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdio>
#include <cstdlib>

/// A condition the calling programmer guarantees. On in release builds too: a wrong heading is
/// worse than a stopped program. Never used for what a user or a file can get wrong.
#define QN_EXPECTS(condition)                                                       \
  do {                                                                              \
    if (!(condition)) {                                                             \
      std::fprintf(stderr, "%s:%d: expected %s\n", __FILE__, __LINE__, #condition); \
      std::abort();                                                                 \
    }                                                                               \
  } while (false)
