// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <boost/asio/ssl/context.hpp>
#include <memory>
#include <utility>  // before asio: Boost 1.74 uses std::exchange without including it

#include "server/certificate.h"
#include "vocab/result.h"

namespace qn {

/// What connections under TLS share.
/// errors   Io when the library does not take the key
Result<std::shared_ptr<boost::asio::ssl::context>> tls_context(const CertifiedKey& shown);

}  // namespace qn
