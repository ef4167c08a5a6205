// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <cstdint>
#include <string>

namespace qn::test {

/// A connection that sends and receives bytes as they are: what a browser would refuse to send can
/// be sent, and what a server says can be read to the letter.
class RawClient {
 public:
  /// receive_buffer  bytes; small ones make a reader that takes nothing block its writer soon
  explicit RawClient(std::uint16_t port, int receive_buffer = 0) {
    socket_ = ::socket(AF_INET, SOCK_STREAM, 0);
    if (receive_buffer > 0) {
      ::setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &receive_buffer, sizeof receive_buffer);
    }
    sockaddr_in where{};
    where.sin_family = AF_INET;
    where.sin_port = htons(port);
    where.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    void* const address = &where;
    connected_ = ::connect(socket_, static_cast<sockaddr*>(address), sizeof where) == 0;
  }
  ~RawClient() { ::close(socket_); }
  RawClient(const RawClient&) = delete;
  RawClient& operator=(const RawClient&) = delete;

  bool connected() const { return connected_; }

  /// False when the other side has closed.
  bool send(const std::string& bytes) {
    std::size_t sent = 0;
    while (sent < bytes.size()) {
      const auto n = ::send(socket_, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
      if (n <= 0) return false;
      sent += static_cast<std::size_t>(n);
    }
    return true;
  }

  /// Reads until `text` has come, the other side closes, or the time is over. All that came so far.
  const std::string& read_until(const std::string& text, double seconds = 10.0) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds);
    while (got_.find(text) == std::string::npos && !closed_) {
      const auto left =
          std::chrono::duration<double>(end - std::chrono::steady_clock::now()).count();
      pollfd wait{socket_, POLLIN, 0};
      if (left <= 0.0 || ::poll(&wait, 1, static_cast<int>(left * 1000.0) + 1) <= 0) break;
      char piece[16384];
      const auto n = ::recv(socket_, piece, sizeof piece, 0);
      if (n <= 0) {
        closed_ = true;
      } else {
        got_.append(piece, static_cast<std::size_t>(n));
      }
    }
    return got_;
  }
  const std::string& read_to_end(double seconds = 10.0) {
    return read_until("\n\xff\xff", seconds);
  }
  bool closed() const { return closed_; }

 private:
  int socket_ = -1;
  bool connected_ = false;
  bool closed_ = false;
  std::string got_;
};

struct Answer {
  int status = 0;
  std::string head, body;
};

inline Answer parted(const std::string& text) {
  Answer answer;
  const std::size_t gap = text.find("\r\n\r\n");
  answer.head = text.substr(0, gap);
  if (gap != std::string::npos) answer.body = text.substr(gap + 4);
  if (answer.head.size() > 12) answer.status = std::atoi(answer.head.c_str() + 9);
  return answer;
}

/// One request on a connection of its own. `headers` are whole lines, each ended by CRLF.
inline Answer ask(std::uint16_t port, const std::string& method, const std::string& target,
                  const std::string& body = "", const std::string& headers = "",
                  const std::string& host = "") {
  RawClient client{port};
  std::string text = method + " " + target + " HTTP/1.1\r\nConnection: close\r\nHost: " +
                     (host.empty() ? "127.0.0.1:" + std::to_string(port) : host) + "\r\n" + headers;
  if (!body.empty() || method == "POST") {
    text += "Content-Length: " + std::to_string(body.size()) + "\r\n";
  }
  client.send(text + "\r\n" + body);
  return parted(client.read_to_end());
}

}  // namespace qn::test
