// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn {

/// Sets eight bits, no parity, raw, no flow control, and any speed, not only the customary ones.
/// A file of its own because the kernel's header for it and <termios.h> exclude each other.
/// returns  0, or errno
int set_serial_line(int descriptor, unsigned baud);

}  // namespace qn
