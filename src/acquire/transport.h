// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <limits>
#include <memory>
#include <string>
#include <vector>

#include "vocab/result.h"

namespace qn {

/// What happened on a link.
struct LinkEvent {
  enum class Kind {
    opened,  ///< from now on bytes may come, perhaps from the middle of a line
    bytes,   ///< as received, at `time_s`
    lost,    ///< the cable, the other side or the device went away; it is tried again
    ended,   ///< nothing will ever come again
    remark,  ///< something worth knowing, in `text`
  };
  Kind kind = Kind::bytes;
  std::size_t link = 0;  ///< filled in by LinkLoop
  double time_s = 0.0;   ///< by the clock that is asked at arrival, before anything else is done
  std::string text;      ///< the bytes, or a sentence for people
};

/// A way by which bytes come: port, socket, file, sensor. Never blocks; whoever owns it waits until
/// `descriptor` can be read or `due_s` has come, then calls serve(). No threads.
class Transport {
 public:
  static constexpr double kNever = std::numeric_limits<double>::infinity();

  virtual ~Transport() = default;
  Transport() = default;
  Transport(const Transport&) = delete;
  Transport& operator=(const Transport&) = delete;

  /// As the user named it, for messages.
  virtual const std::string& name() const = 0;
  /// First opening.
  /// errors  Io or DeviceLost when it cannot be had and trying again would not help
  virtual Result<Done> open(double now_s) = 0;
  /// To wait on for input; -1: none at present.
  virtual int descriptor() const = 0;
  /// For output, when connecting.
  virtual bool waits_to_write() const { return false; }
  /// When serve() is wanted though nothing can be read.
  virtual double due_s() const { return kNever; }
  /// Appends what has happened.
  virtual void serve(double now_s, std::vector<LinkEvent>& events) = 0;
  /// Each piece of bytes is whole lines (datagrams).
  virtual bool pieces_are_whole() const { return false; }
  /// Bytes begin wherever they happen to be when it is opened (a port, not a file).
  virtual bool joins_midway() const { return false; }
};

}  // namespace qn
