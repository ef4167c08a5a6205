// SPDX-License-Identifier: Apache-2.0
#include "acquire/transport_network.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <netdb.h>
#include <sys/socket.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "acquire/descriptor.h"

namespace qn {
namespace {

constexpr double kRetry_s = 1.0;

struct Address {
  sockaddr_storage bytes{};
  socklen_t size = 0;
  int family = 0;
};

sockaddr* generic(Address& address) {
  return reinterpret_cast<sockaddr*>(&address.bytes);  // how the socket interface is made
}

Result<Address> address_of(const std::string& host, std::uint16_t port, int type,
                           const std::string& name) {
  addrinfo hints{};
  hints.ai_socktype = type;
  hints.ai_flags = AI_NUMERICSERV;
  addrinfo* found = nullptr;
  const int failed = ::getaddrinfo(host.c_str(), std::to_string(port).c_str(), &hints, &found);
  if (failed != 0 || found == nullptr) {
    return Error{ErrorKind::Io, fmt::format("'{}' is not known: {}", host, ::gai_strerror(failed)),
                 name, "the name or the number of a computer that can be reached",
                 "check the name, and that this computer is on the same network"};
  }
  Address address;
  std::memcpy(&address.bytes, found->ai_addr, found->ai_addrlen);
  address.size = found->ai_addrlen;
  address.family = found->ai_family;
  ::freeaddrinfo(found);
  return address;
}

std::string text_of(const Address& address) {
  std::array<char, INET6_ADDRSTRLEN> host{};
  std::uint16_t port = 0;
  if (address.bytes.ss_family == AF_INET) {
    sockaddr_in v4{};
    std::memcpy(&v4, &address.bytes, sizeof v4);
    ::inet_ntop(AF_INET, &v4.sin_addr, host.data(), host.size());
    port = ntohs(v4.sin_port);
  } else {
    sockaddr_in6 v6{};
    std::memcpy(&v6, &address.bytes, sizeof v6);
    ::inet_ntop(AF_INET6, &v6.sin6_addr, host.data(), host.size());
    port = ntohs(v6.sin6_port);
  }
  return fmt::format("{} port {}", host.data(), port);
}

class UdpTransport : public Transport {
 public:
  UdpTransport(std::string name, std::string host, std::uint16_t port)
      : name_{std::move(name)}, host_{std::move(host)}, port_{port} {}

  const std::string& name() const override { return name_; }
  int descriptor() const override { return socket_.get(); }
  bool pieces_are_whole() const override { return true; }
  double due_s() const override { return told_ ? kNever : 0.0; }

  Result<Done> open(double) override {
    auto address = address_of(host_, port_, SOCK_DGRAM, name_);
    if (!address) return address.error();
    Address& to = address.value();
    socket_ = Descriptor{::socket(to.family, SOCK_DGRAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0)};
    if (!socket_ || ::bind(socket_.get(), generic(to), to.size) != 0) {
      return Error{
          ErrorKind::Io,
          fmt::format("cannot listen on {} port {}: {}", host_, port_, std::strerror(errno)), name_,
          "a free port, and an address of this computer",
          "end the program that holds the port, or choose another port"};
    }
    // Half a second of a busy sensor may wait while the disk is slow.
    const int room = 1 << 20;
    (void)::setsockopt(socket_.get(), SOL_SOCKET, SO_RCVBUF, &room, sizeof room);
    return Done{};
  }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    if (!std::exchange(told_, true)) events.push_back({LinkEvent::Kind::opened, 0, now_s, ""});
    constexpr int kMostAtOnce = 256;
    std::array<char, 65536> block;
    for (int i = 0; i < kMostAtOnce; ++i) {
      Address from;
      from.size = sizeof from.bytes;
      const ssize_t count =
          ::recvfrom(socket_.get(), block.data(), block.size(), 0, generic(from), &from.size);
      if (count < 0) return;
      look_at_sender(from, now_s, events);
      if (count == 0) continue;
      events.push_back({LinkEvent::Kind::bytes, 0, now_s,
                        std::string{block.data(), static_cast<std::size_t>(count)}});
    }
  }

 private:
  void look_at_sender(const Address& from, double now_s, std::vector<LinkEvent>& events) {
    const std::string sender = text_of(from);
    if (first_sender_.empty()) first_sender_ = sender;
    if (sender == first_sender_ || sender == second_sender_) return;
    if (second_sender_.empty()) {
      events.push_back(
          {LinkEvent::Kind::remark, 0, now_s,
           fmt::format("two senders speak to this port: {} and {}", first_sender_, sender)});
    }
    second_sender_ = sender;
  }

  std::string name_;
  std::string host_;
  std::uint16_t port_;
  Descriptor socket_;
  bool told_ = false;
  std::string first_sender_, second_sender_;
};

class TcpTransport : public Transport {
 public:
  TcpTransport(std::string name, std::string host, std::uint16_t port)
      : name_{std::move(name)}, host_{std::move(host)}, port_{port} {}

  const std::string& name() const override { return name_; }
  int descriptor() const override { return socket_.get(); }
  bool waits_to_write() const override { return socket_ && !connected_; }
  bool joins_midway() const override { return true; }
  double due_s() const override { return socket_ ? kNever : retry_s_; }

  Result<Done> open(double now_s) override {
    auto address = address_of(host_, port_, SOCK_STREAM, name_);
    if (!address) return address.error();
    address_ = address.value();
    retry_s_ = now_s;
    return Done{};
  }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    if (!socket_) {
      if (now_s >= retry_s_) begin(now_s, events);
      return;
    }
    if (!connected_) {
      int reason = 0;
      socklen_t size = sizeof reason;
      ::getsockopt(socket_.get(), SOL_SOCKET, SO_ERROR, &reason, &size);
      if (reason != 0) return fail(now_s, reason, events);
      sockaddr_storage peer{};
      socklen_t peer_size = sizeof peer;
      if (::getpeername(socket_.get(), reinterpret_cast<sockaddr*>(&peer), &peer_size) != 0) return;
      connected_ = true;
      told_reason_ = 0;
      events.push_back({LinkEvent::Kind::opened, 0, now_s, ""});
    }
    ReadBytes got = read_available(socket_.get());
    if (!got.bytes.empty()) {
      events.push_back({LinkEvent::Kind::bytes, 0, now_s, std::move(got.bytes)});
    }
    if (!got.over) return;
    close(now_s);
    events.push_back({LinkEvent::Kind::lost, 0, now_s, "the other side closed the connection"});
  }

 private:
  void begin(double now_s, std::vector<LinkEvent>& events) {
    socket_ = Descriptor{::socket(address_.family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0)};
    if (!socket_) return fail(now_s, errno, events);
    // A cable pulled out sends no end: after half a minute of silence the kernel asks the other
    // side.
    const int yes = 1;
    (void)::setsockopt(socket_.get(), SOL_SOCKET, SO_KEEPALIVE, &yes, sizeof yes);
    if (::connect(socket_.get(), generic(address_), address_.size) != 0 && errno != EINPROGRESS) {
      fail(now_s, errno, events);
    }
  }

  void fail(double now_s, int reason, std::vector<LinkEvent>& events) {
    close(now_s);
    if (reason == told_reason_) return;
    told_reason_ = reason;
    events.push_back(
        {LinkEvent::Kind::remark, 0, now_s,
         fmt::format("no connection yet: {}; tried again every second", std::strerror(reason))});
  }

  void close(double now_s) {
    socket_.close();
    connected_ = false;
    retry_s_ = now_s + kRetry_s;
  }

  std::string name_;
  std::string host_;
  std::uint16_t port_;
  Address address_;
  Descriptor socket_;
  bool connected_ = false;
  double retry_s_ = 0.0;
  int told_reason_ = 0;
};

}  // namespace

std::unique_ptr<Transport> udp_transport(std::string name, std::string host, std::uint16_t port) {
  return std::make_unique<UdpTransport>(std::move(name), std::move(host), port);
}

std::unique_ptr<Transport> tcp_transport(std::string name, std::string host, std::uint16_t port) {
  return std::make_unique<TcpTransport>(std::move(name), std::move(host), port);
}

}  // namespace qn
