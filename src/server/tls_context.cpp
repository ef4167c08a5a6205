// SPDX-License-Identifier: Apache-2.0
#include <openssl/ssl.h>

#include <boost/asio/buffer.hpp>
#include <boost/system/system_error.hpp>

#include "server/tls_context_internal.h"

namespace qn {

Result<std::shared_ptr<boost::asio::ssl::context>> tls_context(const CertifiedKey& shown) {
  namespace asio = boost::asio;
  using asio::ssl::context;
  try {
    auto made = std::make_shared<context>(context::tls_server);
    SSL_CTX* const plain = made->native_handle();
    SSL_CTX_set_min_proto_version(plain, TLS1_2_VERSION);
    // For TLS 1.2; all suites of 1.3 are as good.
    SSL_CTX_set_cipher_list(plain, "ECDHE+AESGCM:ECDHE+CHACHA20");
    // A client that asks for one new handshake after the other would keep this thread busy.
    SSL_CTX_set_options(plain, SSL_OP_NO_RENEGOTIATION);
    SSL_CTX_set_mode(plain, SSL_MODE_RELEASE_BUFFERS);
    made->use_certificate_chain(asio::buffer(shown.certificate + shown.authority));
    made->use_private_key(asio::buffer(shown.key), context::pem);
    return made;
  } catch (const boost::system::system_error& refused) {
    return Error{ErrorKind::Io, std::string{"TLS cannot be set up: "} + refused.what(),
                 "the certificate for the network", "a key and its certificate",
                 "remove the kept one, so that it is made anew, or serve without --lan"};
  }
}

}  // namespace qn
