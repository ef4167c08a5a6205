// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "procedure/field_on_heading.h"
#include "report/page_canvas.h"
#include "vocab/verdict.h"

namespace qn {

struct NamedCurve {
  std::string name;
  const FieldHeadingError* error = nullptr;
  VerdictState verdict = VerdictState::unproven;
};

inline constexpr std::size_t kMostCurves = 3;  ///< as many as there are dashes

/// Heading error over magnetic heading, each curve in its band with its name on it; the first is
/// solid, the second dashed, the third dotted.
void curves_over_heading(PageCanvas& canvas, const PageBox& box,
                         const std::vector<NamedCurve>& curves, const std::optional<Limit>& limit);

}  // namespace qn
