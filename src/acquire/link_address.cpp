// SPDX-License-Identifier: Apache-2.0
#include "acquire/link_address.h"

#include <fmt/format.h>

#include <cmath>
#include <optional>
#include <utility>

#include "acquire/decimal.h"
#include "acquire/link_recording.h"
#include "acquire/transport_iio.h"
#include "acquire/transport_input.h"
#include "acquire/transport_network.h"
#include "acquire/transport_replay.h"
#include "acquire/transport_serial.h"

namespace qn {
namespace {

constexpr double kUsualBaud = 115200.0;
constexpr double kUsualIioRate_Hz = 20.0;

Error wrong(const std::string& text, std::string what, std::string expected) {
  return {ErrorKind::OutOfRange, std::move(what), "link '" + text + "'", std::move(expected),
          "correct the link; 'quietnorth link list' shows what there is"};
}

struct Numbered {
  std::string target;
  std::optional<double> number;
};

/// Cuts "@NUMBER" off the end. A name may hold an '@' of its own: only a number counts.
Numbered cut_number(const std::string& text) {
  const std::size_t at = text.rfind('@');
  if (at == std::string::npos) return {text, std::nullopt};
  std::string_view digits = std::string_view{text}.substr(at + 1);
  if (!digits.empty() && digits.back() == 'x') digits.remove_suffix(1);
  const auto number = parse_number(digits);
  if (!number) return {text, std::nullopt};
  return {text.substr(0, at), number};
}

Result<LinkAddress> numbered(LinkAddress address, const std::string& rest, double usual, double lo,
                             double hi, const char* what) {
  const Numbered cut = cut_number(rest);
  address.target = cut.target;
  address.number = cut.number.value_or(usual);
  if (!(address.number >= lo && address.number <= hi)) {
    return wrong(address.text, fmt::format("{} {} cannot be", what, address.number),
                 fmt::format("{} from {} to {} after the '@'", what, lo, hi));
  }
  return address;
}

Result<LinkAddress> networked(LinkAddress address, std::string rest) {
  const bool udp = address.kind == LinkAddress::Kind::udp;
  const std::size_t colon = rest.rfind(':');
  const std::string port_text = colon == std::string::npos ? rest : rest.substr(colon + 1);
  address.target = colon == std::string::npos ? std::string{} : rest.substr(0, colon);
  if (udp && address.target.empty()) address.target = "127.0.0.1";
  if (udp && address.target == "any") address.target = "0.0.0.0";
  const auto port = parse_number(port_text);
  if (!port || !(*port >= 1.0 && *port <= 65535.0) || *port != std::floor(*port) ||
      address.target.empty()) {
    return wrong(address.text, fmt::format("'{}' names no port", rest),
                 udp ? "udp:PORT, or udp:any:PORT for senders on the network, PORT 1 to 65535"
                     : "tcp:HOST:PORT, PORT 1 to 65535");
  }
  address.port = static_cast<std::uint16_t>(*port);
  return address;
}

Result<LinkAddress> replayed(LinkAddress address, const std::string& rest) {
  auto with_speed = numbered(std::move(address), rest, 1.0, 1.0, 1000.0, "a speed of");
  if (!with_speed) return with_speed.error();
  LinkAddress& out = with_speed.value();
  const std::size_t hash = out.target.rfind('#');
  if (hash != std::string::npos) {
    const auto number = parse_number(std::string_view{out.target}.substr(hash + 1));
    if (number && *number >= 1.0 && *number <= 1000.0 && *number == std::floor(*number)) {
      out.recorded_link = static_cast<std::size_t>(*number);
      out.target.resize(hash);
    }
  }
  return std::move(with_speed).value();
}

Result<std::unique_ptr<ChunkSource>> source_of(const LinkAddress& address) {
  if (!is_link_recording(address.target)) return text_log_source(address.target);
  auto read = read_link_recording(address.target);
  if (!read) return read.error();
  const auto recording = std::make_shared<const LinkRecording>(std::move(read).value());
  std::size_t link = address.recorded_link;
  std::string there;
  for (const LinkDescription& d : recording->links) {
    if (link == 0) link = d.link;
    if (d.link == link) return recorded_link_source(recording, link);
    there += fmt::format(" {} ({})", d.link, d.address);
  }
  return Error{ErrorKind::BadInput, "the recording has no such link", "link '" + address.text + "'",
               "one of its links:" + (there.empty() ? " none" : there),
               "write #NUMBER after the file's name"};
}

}  // namespace

Result<LinkAddress> parse_link_address(const std::string& text) {
  using Kind = LinkAddress::Kind;
  LinkAddress address;
  address.text = text;
  if (text == "-" || text == "stdin") return address;
  if (text == "typed") {
    address.kind = Kind::typed;
    return address;
  }
  const std::size_t colon = text.find(':');
  const std::string scheme = text.substr(0, colon);
  const std::string rest = colon == std::string::npos ? std::string{} : text.substr(colon + 1);
  if (scheme == "udp" || scheme == "tcp") {
    address.kind = scheme == "udp" ? Kind::udp : Kind::tcp;
    return networked(std::move(address), rest);
  }
  if (scheme == "iio" || text.rfind("iio@", 0) == 0) {
    address.kind = Kind::iio;
    return numbered(std::move(address), scheme == "iio" ? rest : text.substr(3), kUsualIioRate_Hz,
                    0.1, 400.0, "a rate of");
  }
  if (scheme == "replay" && !rest.empty()) {
    address.kind = Kind::replay;
    return replayed(std::move(address), rest);
  }
  if ((scheme == "serial" && !rest.empty()) || text.rfind('/', 0) == 0) {
    address.kind = Kind::serial;
    return numbered(std::move(address), text.rfind('/', 0) == 0 ? text : rest, kUsualBaud, 50.0,
                    4e6, "a speed of");
  }
  return wrong(
      text, "this names no link",
      "/dev/PORT@SPEED, udp:PORT, tcp:HOST:PORT, iio:SENSOR@RATE, replay:FILE@SPEED, stdin "
      "or typed");
}

Result<std::unique_ptr<Transport>> make_transport(const LinkAddress& address,
                                                  const std::string& root) {
  switch (address.kind) {
    case LinkAddress::Kind::serial:
      return serial_transport(address.target, static_cast<unsigned>(address.number));
    case LinkAddress::Kind::udp: return udp_transport(address.text, address.target, address.port);
    case LinkAddress::Kind::tcp: return tcp_transport(address.text, address.target, address.port);
    case LinkAddress::Kind::iio:
      return iio_transport(address.text, root, address.target, address.number);
    case LinkAddress::Kind::replay: {
      auto source = source_of(address);
      if (!source) return source.error();
      return replay_transport(address.text, std::move(source).value(), address.number);
    }
    case LinkAddress::Kind::input:
    case LinkAddress::Kind::typed: break;
  }
  return standard_input_transport(address.text);
}

}  // namespace qn
