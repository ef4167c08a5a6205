// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

namespace qn {

/// A QR code: rows of modules, true is dark, without the quiet zone around it.
using QrCode = std::vector<std::vector<bool>>;

/// The text as a QR code with 15 % of it spare (level M); empty when it is too long (2331 bytes).
QrCode qr_code(const std::string& text);

/// Black on white whatever the page's theme, with its quiet zone; scales to any size.
std::string qr_svg(const QrCode& code);

/// Two rows of modules a line, half blocks for what is light: for a terminal with bright letters on
/// dark ground.
std::string qr_text(const QrCode& code);

}  // namespace qn
