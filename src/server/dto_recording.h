// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "server/recording_shelf.h"

namespace qn {

/// api.yaml, Recording.
std::string recording_json(const KeptRecording& recording);

/// api.yaml, Series.
std::string series_json(const FieldSeries& series);

}  // namespace qn
