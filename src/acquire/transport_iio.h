// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>

#include "acquire/transport.h"

namespace qn {

/// A Linux industrial-I/O magnetometer, read through sysfs at an even rate: enough for a bare chip
/// on a single-board computer. The bytes of the link are lines of decoder_iio.h.
///
/// root     "/" ; another one in tests
/// which    as for iio_sensor()
/// rate_Hz  0.1 to 400; each reading costs three small files
/// open() errors  Io: no such sensor
std::unique_ptr<Transport> iio_transport(std::string name, std::string root, std::string which,
                                         double rate_Hz);

}  // namespace qn
