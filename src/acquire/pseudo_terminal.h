// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "acquire/descriptor.h"
#include "vocab/result.h"

namespace qn {

/// A port that this program plays the sensor behind. As on a cable, what is sent while nobody
/// listens is lost, and so is what does not fit while somebody listens too slowly.
class PseudoTerminal {
 public:
  /// link_path  a name that stays the same when it is unplugged and plugged in again, made as a
  ///            symbolic link; empty: none
  /// errors     Io: no pseudo-terminal is left, or the link cannot be made (a file of that name
  /// that
  ///            is no link is left alone)
  static Result<std::unique_ptr<PseudoTerminal>> make(std::string link_path);
  ~PseudoTerminal();

  /// What to open; changes when it is plugged in again without a link.
  const std::string& path() const { return link_path_.empty() ? device_ : link_path_; }
  bool listened_to() const;
  /// returns  false when nobody listens, or it did not fit
  bool send(std::string_view bytes);

  /// Whoever listens sees the port go away.
  void unplug();
  /// errors  as make()
  Result<Done> plug_in();

 private:
  explicit PseudoTerminal(std::string link_path) : link_path_{std::move(link_path)} {}
  std::string link_path_;
  std::string device_;
  Descriptor master_;
};

}  // namespace qn
