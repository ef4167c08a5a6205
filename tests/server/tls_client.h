// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <openssl/bio.h>
#include <openssl/pem.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstring>
#include <string>

#include "support/web_client.h"

namespace qn::test {

/// A connection under TLS that sends and receives bytes as they are.
class TlsClient {
 public:
  struct Options {
    std::string authority =
        {};                    ///< PEM; not empty: the server's certificate is verified by it alone
    std::string address = {};  ///< with it: the certificate must be for this address
    int newest = 0;            ///< highest version of TLS; 0: any
    int receive_buffer = 0;    ///< bytes; small ones make a reader that takes nothing block soon
  };
  explicit TlsClient(std::uint16_t port) : TlsClient{port, Options{}} {}
  TlsClient(std::uint16_t port, const Options& options) {
    std::signal(SIGPIPE, SIG_IGN);  // the library writes to a socket that has been closed as well
    socket_ = ::socket(AF_INET, SOCK_STREAM, 0);
    if (options.receive_buffer > 0) {
      ::setsockopt(socket_, SOL_SOCKET, SO_RCVBUF, &options.receive_buffer, sizeof(int));
    }
    sockaddr_in where{};
    where.sin_family = AF_INET;
    where.sin_port = htons(port);
    where.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    void* const address = &where;
    if (::connect(socket_, static_cast<sockaddr*>(address), sizeof where) != 0) return;
    timeval patience{5, 0};
    ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience);
    context_ = SSL_CTX_new(TLS_client_method());
    if (options.newest != 0) {
      SSL_CTX_set_max_proto_version(context_, options.newest);
      SSL_CTX_set_security_level(context_, 0);  // or an old version is not even tried
    }
    if (!options.authority.empty()) trust(options.authority);
    tls_ = SSL_new(context_);
    if (!options.address.empty()) {
      X509_VERIFY_PARAM_set1_ip_asc(SSL_get0_param(tls_), options.address.c_str());
    }
    SSL_set_fd(tls_, socket_);
    agreed_ = SSL_connect(tls_) == 1;
  }
  ~TlsClient() {
    SSL_free(tls_);
    SSL_CTX_free(context_);
    ::close(socket_);
  }
  TlsClient(const TlsClient&) = delete;
  TlsClient& operator=(const TlsClient&) = delete;

  bool agreed() const { return agreed_; }  ///< the handshake went well
  std::string version() const { return SSL_get_version(tls_); }

  bool send(const std::string& bytes) {
    return agreed_ && SSL_write(tls_, bytes.data(), static_cast<int>(bytes.size())) > 0;
  }

  /// Reads until `text` has come, the other side closes, or the time is over. All that came so far.
  const std::string& read_until(const std::string& text, double seconds = 10.0) {
    const auto end = std::chrono::steady_clock::now() + std::chrono::duration<double>(seconds);
    while (got_.find(text) == std::string::npos && !closed_ && agreed_) {
      if (SSL_pending(tls_) == 0) {
        const auto left =
            std::chrono::duration<double>(end - std::chrono::steady_clock::now()).count();
        pollfd wait{socket_, POLLIN, 0};
        if (left <= 0.0 || ::poll(&wait, 1, static_cast<int>(left * 1000.0) + 1) <= 0) break;
      }
      char piece[16384];
      const int n = SSL_read(tls_, piece, sizeof piece);
      if (n > 0) {
        got_.append(piece, static_cast<std::size_t>(n));
      } else {
        closed_ = true;
        said_goodbye_ = SSL_get_error(tls_, n) == SSL_ERROR_ZERO_RETURN;
      }
    }
    return got_;
  }
  const std::string& read_to_end(double seconds = 10.0) {
    return read_until("\n\xff\xff", seconds);
  }
  bool closed() const { return closed_; }
  bool said_goodbye() const { return said_goodbye_; }  ///< closed as TLS wants it

 private:
  void trust(const std::string& pem) {
    BIO* const memory = BIO_new_mem_buf(pem.data(), static_cast<int>(pem.size()));
    X509* const authority = PEM_read_bio_X509(memory, nullptr, nullptr, nullptr);
    X509_STORE_add_cert(SSL_CTX_get_cert_store(context_), authority);
    SSL_CTX_set_verify(context_, SSL_VERIFY_PEER, nullptr);
    X509_free(authority);
    BIO_free(memory);
  }

  int socket_ = -1;
  SSL_CTX* context_ = nullptr;
  SSL* tls_ = nullptr;
  bool agreed_ = false, closed_ = false, said_goodbye_ = false;
  std::string got_;
};

}  // namespace qn::test
