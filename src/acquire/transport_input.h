// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "acquire/descriptor.h"
#include "acquire/transport.h"

namespace qn {

/// Whatever comes on standard input; ends with it.
std::unique_ptr<Transport> standard_input_transport(std::string name);

/// Lines that a person types while a recording runs: the heading a display shows, say. Lines are
/// given from any thread, and arrive when the loop that owns the transport takes them, at once.
class TypedLines {
 public:
  /// errors  Io: no pipe can be had
  static Result<std::unique_ptr<TypedLines>> make();

  /// errors  Io: the link is over. OutOfRange: longer than 400 bytes, or holds a line end
  Result<Done> add(std::string_view line);
  /// The receiving end; asked for once.
  std::unique_ptr<Transport> transport(std::string name);
  /// No more lines will come: the link ends.
  void end();

 private:
  TypedLines(Descriptor read_end, Descriptor write_end)
      : read_end_{std::move(read_end)}, write_end_{std::move(write_end)} {}
  Descriptor read_end_, write_end_;
};

}  // namespace qn
