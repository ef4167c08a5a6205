// SPDX-License-Identifier: Apache-2.0
#include "cli/lan_text.h"

#include <fmt/format.h>

#include <cmath>

namespace qn {
namespace {

std::string on_own_ground(const std::string& text) {
  std::string out;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t end = text.find('\n', from);
    out += "\x1b[97;40m" + text.substr(from, end - from) + "\x1b[0m\n";
    from = end + 1;
  }
  return out;
}

// Eight groups of four bytes in two lines, as the browser's certificate view is compared with.
std::string in_two_lines(const std::string& fingerprint) {
  const std::size_t half = 16 * 3;
  if (fingerprint.size() <= half) return fingerprint;
  return fingerprint.substr(0, half - 1) + "\n              " + fingerprint.substr(half);
}

}  // namespace

std::string lan_text(const Invitation& invitation, Coloured coloured) {
  if (invitation.urls.empty()) {
    return "This machine is in no network yet. Join one, or a phone's own hotspot; the address is\n"
           "shown here then.\n";
  }
  std::string text = fmt::format("\nAddress:      {}\n", invitation.urls.front());
  for (std::size_t i = 1; i < invitation.urls.size(); ++i) {
    text += fmt::format("          or  {}\n", invitation.urls[i]);
  }
  if (!invitation.code.empty()) {
    text += fmt::format("Code:         {}   one device that may {}; good for {:.0f} min\n",
                        invitation.code, invitation.role == Role::operate ? "operate" : "look on",
                        std::ceil(invitation.expires_s / 60.0));
  }
  text += fmt::format("Certificate:  {}\n", in_two_lines(invitation.fingerprint));
  text += coloured == Coloured::yes ? on_own_ground(invitation.qr_text) : invitation.qr_text;
  text +=
      "The browser warns of the certificate: it was made on this machine, and nobody else vouches\n"
      "for it. Go on when the SHA-256 fingerprint that the browser shows is the one above.\n";
  return text;
}

}  // namespace qn
