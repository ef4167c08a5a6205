// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <string>

#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "vocab/verdict.h"

namespace qn {

/// What a sheet says before its evidence.
struct SheetOpening {
  const Verdict& verdict;
  std::string sentence;  ///< as large as its length allows
  std::string facts;     ///< small: what was recorded, and where
};

/// Header and footer of one of several sheets. returns  the room between them
PageBox frame_sheet(PageCanvas& canvas, const std::string& what, const SheetContext& context,
                    std::size_t page, std::size_t pages);

/// Verdict mark, sentence, reason and facts. returns  the y below
double draw_opening(PageCanvas& canvas, const PageBox& room, const SheetOpening& opening);

}  // namespace qn
