// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/codec_link_report.h"
#include "app/decoded_log.h"
#include "app/list_links.h"

namespace qn {

/// How the links are doing, for people: at most 80 columns.
std::string links_text(const LinksDocument& document);
/// What there is to listen to, and how to name it.
std::string link_list_text(const LinkList& list);
/// What was written to `path`, and what to know of it.
std::string decoded_log_text(const DecodedLog& log, const std::string& path);

}  // namespace qn
