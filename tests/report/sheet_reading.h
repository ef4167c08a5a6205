// SPDX-License-Identifier: Apache-2.0
// What stands on a drawn sheet, as a reader finds it.
#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "report/page_canvas.h"
#include "report/sensor_fit_sheet.h"
#include "report/sheet_frame.h"

namespace qn::test {

inline SheetContext context_for(bool letter) {
  return {.aircraft = "Brindle",
          .place = "east apron",
          .day = "2026-05-14",
          .log_name = "stations.csv",
          .log_sha256 = std::string(64, 'a'),
          .program_version = "0.1.0",
          .letter = letter};
}

inline const DrawnText* containing(const PageRecord& record, const std::string& words) {
  for (const DrawnText& text : record.texts) {
    if (text.text.find(words) != std::string::npos) return &text;
  }
  return nullptr;
}

inline void check_margins_and_overlaps(const PageRecord& record) {
  const PageBox margins = sheet_margins(record.size);
  CHECK(record.extent.left >= margins.left - 0.6);  // a letter may lean out of its own box
  CHECK(record.extent.right <= margins.right + 0.6);
  CHECK(record.extent.top >= margins.top);
  CHECK(record.extent.bottom <= margins.bottom);
  for (std::size_t i = 0; i < record.texts.size(); ++i) {
    for (std::size_t k = i + 1; k < record.texts.size(); ++k) {
      if (record.texts[i].page != record.texts[k].page) continue;
      if (!overlap(record.texts[i].ink_box, record.texts[k].ink_box)) continue;
      FAIL_CHECK(record.texts[i].text << "\n" << record.texts[k].text);
    }
  }
}

}  // namespace qn::test
