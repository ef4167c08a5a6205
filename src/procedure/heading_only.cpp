// SPDX-License-Identifier: Apache-2.0
#include "procedure/heading_only.h"

namespace qn {

std::string_view to_word(HeadingSource source) {
  switch (source) {
    case HeadingSource::magnetic: return "magnetic";
    case HeadingSource::blended: return "blended";
    case HeadingSource::unknown: break;
  }
  return "unknown";
}

std::optional<HeadingSource> heading_source_from(std::string_view word) {
  for (const HeadingSource source :
       {HeadingSource::magnetic, HeadingSource::blended, HeadingSource::unknown}) {
    if (to_word(source) == word) return source;
  }
  return std::nullopt;
}

std::string_view to_word(DisplayResponse::Kind kind) {
  switch (kind) {
    case DisplayResponse::Kind::lag: return "lag";
    case DisplayResponse::Kind::fade: return "fade";
    case DisplayResponse::Kind::sharp: break;
  }
  return "sharp";
}

}  // namespace qn
