// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/show_book.h"

namespace qn {

/// For people, 80 columns wide.
std::string book_text(const BookSummary& book);
std::string book_check_text(const BookCheck& check);

}  // namespace qn
