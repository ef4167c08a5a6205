// SPDX-License-Identifier: Apache-2.0
#include <asm/termbits.h>
#include <sys/ioctl.h>

#include <cerrno>

#include "acquire/serial_speed_internal.h"

namespace qn {

int set_serial_line(int descriptor, unsigned baud) {
  termios2 line{};
  if (::ioctl(descriptor, TCGETS2, &line) != 0) return errno;
  line.c_iflag = IGNBRK | IGNPAR;
  line.c_oflag = 0;
  line.c_lflag = 0;
  // HUPCL off: a sensor that restarts when a program ends would lose its state between two
  // commands.
  line.c_cflag = CS8 | CREAD | CLOCAL | BOTHER;
  line.c_ispeed = baud;
  line.c_ospeed = baud;
  line.c_cc[VMIN] = 1;
  line.c_cc[VTIME] = 0;
  // Not TCSETSF2: what is in the buffer already was received and is kept.
  return ::ioctl(descriptor, TCSETS2, &line) == 0 ? 0 : errno;
}

}  // namespace qn
