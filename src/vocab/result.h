// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <utility>
#include <variant>

#include "vocab/expects.h"

namespace qn {

/// What kind of trouble; the command line turns it into an exit code.
enum class ErrorKind {
  OutOfRange,    ///< an option's value is wrong by itself: latitude 95, a date outside the model
  BadInput,      ///< a named input is missing, unreadable or malformed
  Corrupt,       ///< a file of our own is damaged
  Unobservable,  ///< asked for something the data cannot hold
  DeviceLost,    ///< a port or sensor went away
  Io,            ///< writing, a port or the disk failed
};

/// Everything a person needs to act. Every field is required and never empty.
struct Error {
  ErrorKind kind;
  std::string what;      ///< what went wrong, with the offending value and its unit
  std::string where;     ///< file, line and column; or option; or channel
  std::string expected;  ///< what would have been right
  std::string remedy;    ///< what to do next, as an instruction
};

/// The error as one readable block of four lines, no trailing newline.
std::string to_text(const Error& error);

/// Success without a value, for Result<Done>.
struct Done {};

/// A value or an Error. Same member names as std::expected (C++23), so the move is an alias.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_{std::in_place_index<0>, std::move(value)} {}
  Result(Error error) : state_{std::in_place_index<1>, std::move(error)} {
    const Error& e = std::get<1>(state_);
    QN_EXPECTS(!e.what.empty() && !e.where.empty() && !e.expected.empty() && !e.remedy.empty());
  }
  bool has_value() const { return state_.index() == 0; }
  explicit operator bool() const { return has_value(); }
  const T& value() const& { return get(*this); }
  T& value() & { return get(*this); }
  T&& value() && { return std::move(get(*this)); }
  const Error& error() const {
    QN_EXPECTS(!has_value());
    return std::get<1>(state_);
  }

 private:
  template <class Self>
  static auto& get(Self& self) {
    QN_EXPECTS(self.has_value());
    return std::get<0>(self.state_);
  }
  std::variant<T, Error> state_;
};

}  // namespace qn
