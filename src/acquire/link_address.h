// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "acquire/transport.h"
#include "vocab/result.h"

namespace qn {

/// Where a link comes from, as typed:
///
///   /dev/ttyUSB0@38400            a serial port (115200 when no speed is given)
///   serial:PATH@SPEED             the same for any path
///   udp:10110, udp:any:10110      datagrams, sent from this computer only or from the network
///   tcp:HOST:PORT                 a stream from a server
///   iio, iio:CHIP@50              an industrial-I/O sensor, so often a second (20)
///   replay:FILE@100, replay:FILE#2@100   a link recording (its link 2) or a text log, 1x to 1000x
///   stdin or -                    standard input
///   typed                         readings typed on the terminal
struct LinkAddress {
  enum class Kind { serial, udp, tcp, iio, replay, input, typed };
  Kind kind = Kind::input;
  std::string text;     ///< as typed
  std::string target;   ///< path, host, or sensor
  double number = 0.0;  ///< baud, rate in Hz, or speed
  std::uint16_t port = 0;
  std::size_t recorded_link = 0;  ///< of a replay; 0: the first
};

/// errors  OutOfRange: none of these, or a number outside its range
Result<LinkAddress> parse_link_address(const std::string& text);

/// The transport of an address; `root` as for iio_sensor(). Of a replay, the file is read here.
/// errors  BadInput: a file to be replayed cannot be, or has no such link
Result<std::unique_ptr<Transport>> make_transport(const LinkAddress& address,
                                                  const std::string& root);

}  // namespace qn
