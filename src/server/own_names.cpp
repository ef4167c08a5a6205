// SPDX-License-Identifier: Apache-2.0
#include "server/own_names.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cstring>

#include "vocab/letters.h"

namespace qn {
namespace {

std::string to_text(const sockaddr* address) {
  sockaddr_in inet{};
  std::memcpy(&inet, address, sizeof inet);
  char text[INET_ADDRSTRLEN] = {};
  return ::inet_ntop(AF_INET, &inet.sin_addr, text, sizeof text) == nullptr ? "" : text;
}

// The address that packets to elsewhere leave from. Connecting a UDP socket sends nothing; the
// target is one of those kept for documentation (RFC 5737).
std::string address_of_default_route() {
  const int socket = ::socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  if (socket < 0) return {};
  sockaddr_in where{};
  where.sin_family = AF_INET;
  where.sin_port = htons(9);
  where.sin_addr.s_addr = htonl(0xc0000201);  // 192.0.2.1
  sockaddr generic{};
  std::memcpy(&generic, &where, sizeof where);
  std::string text;
  socklen_t length = sizeof generic;
  if (::connect(socket, &generic, sizeof generic) == 0 &&
      ::getsockname(socket, &generic, &length) == 0) {
    text = to_text(&generic);
  }
  ::close(socket);
  return text;
}

std::string host_name() {
  char text[256] = {};
  if (::gethostname(text, sizeof text - 1) != 0) return {};
  std::string name{text};
  name = name.substr(0, name.find('.'));
  const bool plain = !name.empty() && name.size() <= 63 &&
                     std::all_of(name.begin(), name.end(),
                                 [](unsigned char c) { return std::isalnum(c) || c == '-'; });
  if (!plain || name == "localhost") return {};
  // Browsers write a host in small letters.
  return lower_case(name);
}

}  // namespace

OwnNames own_names() {
  OwnNames own;
  ifaddrs* first = nullptr;
  if (::getifaddrs(&first) == 0) {
    for (const ifaddrs* one = first; one != nullptr; one = one->ifa_next) {
      if (one->ifa_addr == nullptr || one->ifa_addr->sa_family != AF_INET) continue;
      if ((one->ifa_flags & IFF_UP) == 0 || (one->ifa_flags & IFF_LOOPBACK) != 0) continue;
      const std::string text = to_text(one->ifa_addr);
      if (!text.empty() && std::count(own.addresses.begin(), own.addresses.end(), text) == 0) {
        own.addresses.push_back(text);
      }
    }
    ::freeifaddrs(first);
  }
  const auto usual =
      std::find(own.addresses.begin(), own.addresses.end(), address_of_default_route());
  if (usual != own.addresses.end()) std::rotate(own.addresses.begin(), usual, usual + 1);
  if (const std::string name = host_name(); !name.empty()) own.names = {name, name + ".local"};
  return own;
}

}  // namespace qn
