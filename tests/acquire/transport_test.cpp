// SPDX-License-Identifier: Apache-2.0
#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdio>
#include <filesystem>
#include <string>

#include "acquire/chunk_source.h"
#include "acquire/decoder.h"
#include "acquire/link_address.h"
#include "acquire/link_pump.h"
#include "acquire/pseudo_terminal.h"
#include "acquire/transport_input.h"
#include "acquire/transport_network.h"
#include "acquire/transport_replay.h"
#include "acquire/transport_serial.h"
#include "support/temporary_folder.h"

using namespace qn;
using test::LinkPump;
using Kind = LinkEvent::Kind;

namespace {

sockaddr_in loopback(std::uint16_t port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

template <class F>
auto with_address(const sockaddr_in& address, F f) {
  return f(reinterpret_cast<const sockaddr*>(&address), static_cast<socklen_t>(sizeof address));
}

std::uint16_t port_of(int socket) {
  sockaddr_in address{};
  socklen_t size = sizeof address;
  REQUIRE(::getsockname(socket, reinterpret_cast<sockaddr*>(&address), &size) == 0);
  return ntohs(address.sin_port);
}

/// A port that nobody holds now.
std::uint16_t free_udp_port() {
  const Descriptor probe{::socket(AF_INET, SOCK_DGRAM, 0)};
  with_address(loopback(0), [&](auto* a, auto n) { return ::bind(probe.get(), a, n); });
  return port_of(probe.get());
}

}  // namespace

TEST_CASE("a port that is unplugged and plugged in again goes on, and nothing sent is lost",
          "[acquire][synthetic]") {
  const test::TemporaryFolder folder;
  auto made = PseudoTerminal::make(folder.path("port"));
  REQUIRE(made.has_value());
  PseudoTerminal& sensor = *made.value();
  LinkPump pump;
  pump.add(serial_transport(sensor.path(), 38400));
  std::string sent;
  int lines = 0;
  const auto speak = [&] {
    const std::string line = "line " + std::to_string(lines++) + "\n";
    if (sensor.send(line)) sent += line;
  };
  REQUIRE(pump.until([&] { return pump.bytes().size() > 200; }, speak));
  REQUIRE(pump.until([&] { return pump.bytes() == sent; }));
  sensor.unplug();
  REQUIRE(pump.until([&] { return pump.count(Kind::lost) == 1; }));
  CHECK_FALSE(std::filesystem::exists(folder.path("port")));
  REQUIRE(sensor.plug_in().has_value());
  const std::size_t before = pump.bytes().size();
  REQUIRE(pump.until([&] { return pump.bytes().size() > before + 200; }, speak));
  REQUIRE(pump.until([&] { return pump.bytes() == sent; }));
  CHECK(pump.count(Kind::opened) == 2);
  CHECK(pump.count(Kind::lost) == 1);
}

TEST_CASE("bytes pass a port as they are, whatever they are, at any speed",
          "[acquire][synthetic]") {
  auto made = PseudoTerminal::make("");
  REQUIRE(made.has_value());
  LinkPump pump;
  pump.add(serial_transport(made.value()->path(), 123457));
  std::string all;
  for (int c = 0; c < 256; ++c) all += static_cast<char>(c);
  bool sent = false;
  REQUIRE(pump.until([&] { return pump.bytes().size() >= 256; },
                     [&] { sent = sent || made.value()->send(all); }));
  CHECK(pump.bytes() == all);
}

TEST_CASE("ports that cannot be had are refused in words", "[acquire][closed-form]") {
  const test::TemporaryFolder folder;
  const auto absent = serial_transport(folder.path("none"), 9600)->open(0.0);
  REQUIRE_FALSE(absent.has_value());
  CHECK(absent.error().kind == ErrorKind::Io);
  CHECK(absent.error().what == "there is no such port");
  const auto file = serial_transport(folder.write("file", "x"), 9600)->open(0.0);
  REQUIRE_FALSE(file.has_value());
  CHECK(file.error().what == "this is no serial port");
  const Error forbidden = port_forbidden("/dev/ttyUSB0", "dialout");
  CHECK(forbidden.remedy == "type: sudo usermod -aG dialout $USER, then log out and in again");
}

TEST_CASE("a port without permission names the group to join", "[acquire][closed-form]") {
  auto made = PseudoTerminal::make("");
  REQUIRE(made.has_value());
  const std::string path = made.value()->path();
  REQUIRE(::chmod(path.c_str(), 0640) == 0);
  if (::getuid() != 0) {
    REQUIRE(::chmod(path.c_str(), 0040) ==
            0);  // an owner without right is not helped by the group's
  }
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const pid_t child = ::fork();
  if (child == 0) {  // as somebody who may nothing
    if (::getuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(1);
    const auto opened = serial_transport(path, 9600)->open(0.0);
    const std::string text = opened ? "opened" : to_text(opened.error());
    (void)!::write(ends[1], text.data(), text.size());
    ::_exit(0);
  }
  ::waitpid(child, nullptr, 0);
  std::string text(4096, '\0');
  text.resize(static_cast<std::size_t>(::read(ends[0], text.data(), text.size())));
  ::close(ends[0]);
  ::close(ends[1]);
  INFO(text);
  CHECK(text.find("you may not read this port; the group ") != std::string::npos);
  CHECK(text.find("usermod -aG ") != std::string::npos);
}

TEST_CASE("datagrams arrive one by one, and a second sender is named", "[acquire][synthetic]") {
  const std::uint16_t port = free_udp_port();
  LinkPump pump;
  auto transport = udp_transport("udp", "127.0.0.1", port);
  CHECK(transport->pieces_are_whole());
  pump.add(std::move(transport));
  const Descriptor first{::socket(AF_INET, SOCK_DGRAM, 0)};
  const Descriptor second{::socket(AF_INET, SOCK_DGRAM, 0)};
  const auto send = [&](const Descriptor& from, const std::string& text) {
    with_address(loopback(port), [&](auto* a, auto n) {
      return ::sendto(from.get(), text.data(), text.size(), 0, a, n);
    });
  };
  send(first, "one");
  send(first, "two\n");
  REQUIRE(pump.until([&] { return pump.count(Kind::bytes) == 2; }));
  CHECK(pump.count(Kind::remark) == 0);
  send(second, "three");
  REQUIRE(pump.until([&] { return pump.count(Kind::bytes) == 3; }));
  CHECK(pump.bytes() == "onetwo\nthree");
  CHECK(pump.count(Kind::remark) == 1);
  const auto taken = udp_transport("udp", "127.0.0.1", port)->open(0.0);
  REQUIRE_FALSE(taken.has_value());
  CHECK(taken.error().what.find("in use") != std::string::npos);
}

TEST_CASE("a server that goes away and comes back is joined again", "[acquire][synthetic]") {
  Descriptor server{::socket(AF_INET, SOCK_STREAM, 0)};
  const int yes = 1;
  ::setsockopt(server.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  with_address(loopback(0), [&](auto* a, auto n) { return ::bind(server.get(), a, n); });
  REQUIRE(::listen(server.get(), 1) == 0);
  LinkPump pump;
  pump.add(tcp_transport("tcp", "127.0.0.1", port_of(server.get())));
  REQUIRE(pump.until([&] { return pump.count(Kind::opened) == 1; }));
  Descriptor peer{::accept(server.get(), nullptr, nullptr)};
  REQUIRE(::send(peer.get(), "hello\n", 6, 0) == 6);
  REQUIRE(pump.until([&] { return pump.bytes() == "hello\n"; }));
  peer.close();
  REQUIRE(pump.until([&] { return pump.count(Kind::lost) == 1; }));
  REQUIRE(pump.until([&] { return pump.count(Kind::opened) == 2; }));
  peer = Descriptor{::accept(server.get(), nullptr, nullptr)};
  REQUIRE(::send(peer.get(), "again\n", 6, 0) == 6);
  REQUIRE(pump.until([&] { return pump.bytes() == "hello\nagain\n"; }));
}

TEST_CASE("a refused connection is said once and tried again", "[acquire][synthetic]") {
  std::uint16_t port = 0;
  {
    const Descriptor probe{::socket(AF_INET, SOCK_STREAM, 0)};
    with_address(loopback(0), [&](auto* a, auto n) { return ::bind(probe.get(), a, n); });
    port = port_of(probe.get());
  }
  LinkPump pump;
  pump.add(tcp_transport("tcp", "127.0.0.1", port));
  REQUIRE(pump.until([&] { return pump.count(Kind::remark) == 1; }));
  Descriptor server{::socket(AF_INET, SOCK_STREAM, 0)};
  const int yes = 1;
  ::setsockopt(server.get(), SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  with_address(loopback(port), [&](auto* a, auto n) { return ::bind(server.get(), a, n); });
  REQUIRE(::listen(server.get(), 1) == 0);
  REQUIRE(pump.until([&] { return pump.count(Kind::opened) == 1; }));
  CHECK(pump.count(Kind::remark) == 1);
}

TEST_CASE("typed lines arrive from the program, and the link ends with them",
          "[acquire][synthetic]") {
  auto typed = TypedLines::make();
  REQUIRE(typed.has_value());
  LinkPump pump;
  pump.add(typed.value()->transport("typed"));
  REQUIRE(typed.value()->add("123").has_value());
  REQUIRE(typed.value()->add("standby 095").has_value());
  REQUIRE(pump.until([&] { return pump.bytes() == "123\nstandby 095\n"; }));
  CHECK(typed.value()->add("two\nlines").error().kind == ErrorKind::OutOfRange);
  CHECK(typed.value()->add(std::string(500, '1')).error().kind == ErrorKind::OutOfRange);
  typed.value()->end();
  REQUIRE(pump.until([&] { return pump.count(Kind::ended) == 1; }));
  CHECK(typed.value()->add("1").error().kind == ErrorKind::Io);
}

TEST_CASE("a log played at 1000x keeps its own times and takes a thousandth of them",
          "[acquire][synthetic]") {
  std::string text = "time_s,heading_deg\n";
  for (int i = 0; i <= 600; ++i) text += std::to_string(10 + i) + ",12\n";
  LinkPump pump;
  pump.add(replay_transport("r", text_source(text), 1000.0));
  const BootClock clock;
  REQUIRE(pump.until([&] { return pump.count(Kind::ended) == 1; }));
  const double took_s = clock.now_s();
  CHECK(took_s >= 0.59);
  CHECK(took_s < 5.0);  // a busy machine
  CHECK(pump.bytes() == text);
  CHECK(pump.events.back().time_s == 600.0);  // from the first row on
}

TEST_CASE("lines without a time are played evenly", "[acquire][closed-form]") {
  auto source = text_source("$HCHDM,1,M\n$HCHDM,2,M\r\n$HCHDM,3,M");
  std::vector<double> at;
  while (const auto event = source->next()) {
    if (event->kind == Kind::bytes) at.push_back(event->time_s);
  }
  REQUIRE(at.size() == 3);
  CHECK(at[2] == Approx(0.2).epsilon(1e-12));
}

TEST_CASE("addresses say what they mean, or are refused", "[acquire][closed-form]") {
  using K = LinkAddress::Kind;
  const auto good = [](const char* text) {
    INFO(text);
    const auto parsed = parse_link_address(text);
    REQUIRE(parsed.has_value());
    return parsed.value();
  };
  CHECK(good("/dev/ttyUSB0@38400").number == 38400.0);
  CHECK(good("/dev/ttyUSB0").number == 115200.0);
  CHECK(good("/dev/serial/by-id/usb-a@b-if00@9600").target == "/dev/serial/by-id/usb-a@b-if00");
  CHECK(good("serial:port@50").target == "port");
  CHECK(good("udp:10110").target == "127.0.0.1");
  CHECK(good("udp:any:10110").target == "0.0.0.0");
  CHECK(good("tcp:host.local:2000").port == 2000);
  CHECK(good("iio").kind == K::iio);
  CHECK(good("iio:chip@50").number == 50.0);
  CHECK(good("iio@5").number == 5.0);
  CHECK(good("replay:a.qnlink#2@100x").recorded_link == 2);
  CHECK(good("replay:a.qnlink#2@100x").number == 100.0);
  CHECK(good("-").kind == K::input);
  CHECK(good("typed").kind == K::typed);
  for (const char* text : {"", "COM3", "udp:", "udp:0", "udp:70000", "tcp:2000", "tcp:host:",
                           "/dev/x@10", "replay:a@5000", "replay:", "iio@1000", "udp:1.5"}) {
    INFO(text);
    const auto parsed = parse_link_address(text);
    REQUIRE_FALSE(parsed.has_value());
    CHECK(parsed.error().kind == ErrorKind::OutOfRange);
  }
}
