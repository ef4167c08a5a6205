// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn {

/// A magnetometer of the Linux industrial-I/O subsystem, as its folder in sysfs describes it.
///
/// source  the kernel's documents of the sysfs ABI (from memory): in_magn_{x,y,z}_raw,
///         in_magn_[x|y|z_]scale, in_magn_[x|y|z_]offset; (raw + offset) * scale is in gauss
struct IioSensor {
  std::string folder;                 ///< ".../iio:device0"
  std::string id;                     ///< "iio:device0"
  std::string chip;                   ///< what the driver calls it
  std::array<std::string, 3> scale;   ///< as printed; "1" when there is none
  std::array<std::string, 3> offset;  ///< as printed; "0" when there is none
};

/// The magnetometers below `root`, in the order of their numbers; none when there are none.
///
/// root  "/" ; another one in tests. Looks in ROOT/sys/bus/iio/devices
std::vector<IioSensor> iio_sensors(const std::string& root);

/// One of them by id, number ("0") or chip name; the first when `which` is empty.
/// errors  Io: none there, or none of that name (lists those that are)
Result<IioSensor> iio_sensor(const std::string& root, const std::string& which);

/// Reads the three axes now, as decoder_iio.h writes them, with the line end.
/// errors  DeviceLost: a file can no longer be read
Result<std::string> read_iio_line(const IioSensor& sensor);

}  // namespace qn
