// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/ssl/context.hpp>
#include <boost/beast/core/tcp_stream.hpp>
#include <boost/beast/ssl/ssl_stream.hpp>
#include <memory>
#include <optional>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it

namespace qn {

/// One connection, plain or under TLS. The HTTP library reads and writes through it without knowing
/// which, so that its code is compiled once.
class Wire {
 public:
  using Plain = boost::beast::tcp_stream;
  using Tls = boost::beast::ssl_stream<Plain>;
  using executor_type = Plain::executor_type;

  /// tls  null: plain
  Wire(boost::asio::ip::tcp::socket socket, std::shared_ptr<boost::asio::ssl::context> tls)
      : context_{std::move(tls)} {
    if (context_) {
      tls_.emplace(std::move(socket), *context_);
    } else {
      plain_.emplace(std::move(socket));
    }
  }

  bool is_tls() const { return tls_.has_value(); }
  Tls& tls() { return *tls_; }
  Plain& below() { return tls_ ? tls_->next_layer() : *plain_; }  ///< has the socket and deadlines
  executor_type get_executor() { return below().get_executor(); }

  template <class Buffers, class Then>
  void async_read_some(const Buffers& buffers, Then&& then) {
    if (tls_) return tls_->async_read_some(buffers, std::forward<Then>(then));
    plain_->async_read_some(buffers, std::forward<Then>(then));
  }
  template <class Buffers, class Then>
  void async_write_some(const Buffers& buffers, Then&& then) {
    if (tls_) return tls_->async_write_some(buffers, std::forward<Then>(then));
    plain_->async_write_some(buffers, std::forward<Then>(then));
  }

 private:
  std::shared_ptr<boost::asio::ssl::context> context_;
  std::optional<Plain> plain_;
  std::optional<Tls> tls_;
};

}  // namespace qn
