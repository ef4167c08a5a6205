// SPDX-License-Identifier: Apache-2.0
#include "app/version.h"

namespace qn {

std::string_view program_version() { return QN_VERSION; }

}  // namespace qn
