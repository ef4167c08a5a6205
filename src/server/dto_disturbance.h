// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "app/analyse_disturbance.h"
#include "vocab/mark.h"
#include "vocab/result.h"

namespace qn {

/// What a page sends to have a run analysed (api.yaml, DisturbanceRequest).
struct DisturbanceOrder {
  DisturbanceRequest request;  ///< without the paths
  std::string marks_csv, marks_name = "marks.csv";
  std::string equipment_csv, equipment_name = "equipment.csv";  ///< empty: none
};

/// errors  BadInput naming the key: no JSON, an unknown key, a value of the wrong kind, no marks
Result<DisturbanceOrder> disturbance_order_from_json(const std::string& text);

/// One mark elsewhere than where the file has it.
struct MovedMark {
  std::size_t index = 0;  ///< in the marks file, from 0
  double time_s = 0.0;
};

/// api.yaml, MovedMarks.
/// errors  BadInput naming the mark: no such index, twice the same, a time that is no number
Result<std::vector<MovedMark>> moved_marks_from_json(const std::string& text, std::size_t count);

/// api.yaml, WhatIfRequest: the devices that are on.
Result<std::vector<std::string>> what_if_from_json(const std::string& text);

/// api.yaml, MarkList.
std::string marks_json(const std::vector<Mark>& given, const std::vector<Mark>& now);

}  // namespace qn
