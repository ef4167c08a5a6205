// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "server/role.h"

namespace qn {

/// A device that has been let in.
struct PairedVisitor {
  std::string id, name;
  Role role = Role::look_on;
  std::string since_utc;
  double seen_s = 0.0;  ///< when it asked last, on the clock of Pairing
};

/// The same as it is kept between runs of the program.
struct KeptPairing {
  std::string id, name;
  Role role = Role::look_on;
  std::string since_utc;
  std::string token_sha256;  ///< hex
  double age_s = 0.0;        ///< since it was paired
};

/// Who may come in from the network: one code at a time, good for one device and five minutes.
/// For one thread.
class Pairing {
 public:
  static constexpr double kCodeLife_s = 300.0;
  static constexpr double kVisitLife_s = 12.0 * 3600.0;
  static constexpr std::size_t kMostVisitors = 32;
  static constexpr std::size_t kWrongOfOne = 5;   ///< codes from one address in a minute
  static constexpr std::size_t kWrongOfAll = 20;  ///< in a minute, or for one code

  /// now_s    monotonic
  Pairing(std::function<double()> now_s, std::function<std::string()> utc_now);

  struct Code {
    std::string shown;  ///< "7K3M-Q9XD"
    Role role = Role::operate;
    double left_s = 0.0;
  };
  void invite(Role role);                  ///< a new code; the one before is worth nothing
  std::optional<Code> invitation() const;  ///< none: used, or too old

  enum class Outcome { paired, wrong, too_many };
  struct Entry {
    Outcome outcome = Outcome::wrong;
    std::string token;      ///< 64 hex digits, told once; only its hash is kept
    bool new_code = false;  ///< too many were wrong: the code is another one now
  };
  /// What was entered: letter case, spaces and hyphens do not matter, O is 0, I and L are 1.
  ///
  /// peer  the address it came from
  Entry enter(const std::string& code, const std::string& name, const std::string& peer);

  /// Whose token this is, and that it has been seen now; none: nobody's, or older than 12 hours.
  std::optional<PairedVisitor> who(const std::string& token);
  const std::vector<PairedVisitor>& visitors() const { return visitors_; }
  bool revoke(const std::string& id);  ///< false: none such
  /// That device has another pairing now; what it has open stays open. false: none such
  bool supersede(const std::string& id);
  double now_s() const { return now_s_(); }

  std::vector<KeptPairing> kept() const;
  /// Those of an earlier run that are not too old; what is not a hash is left out.
  void restore(const std::vector<KeptPairing>& kept);

  /// Called when visitors() has got or lost somebody, but not by restore().
  std::function<void()> on_changed;
  /// Called when a visitor may no longer come in, whatever the reason.
  std::function<void(const std::string& id)> on_gone;

 private:
  using Hash = std::array<unsigned char, 32>;
  static Hash hash_of(const std::string& text);
  bool too_many_from(const std::string& peer);
  Entry wrong_from(const std::string& peer);
  Entry let_in(const std::string& name);
  std::string own_name(const std::string& wanted) const;
  std::optional<std::size_t> index_of(const std::string& id) const;
  void forget(std::size_t index);
  void drop(std::size_t index);

  std::function<double()> now_s_;
  std::function<std::string()> utc_now_;
  std::string code_;  // as it is entered, without the hyphen; empty: none
  Role code_role_ = Role::operate;
  double code_until_s_ = 0.0;
  std::size_t wrong_for_code_ = 0;
  struct Wrong {
    std::string peer;
    double at_s = 0.0;
  };
  std::deque<Wrong> wrong_;
  std::vector<PairedVisitor> visitors_;  // and beside each, in the same order:
  std::vector<Hash> hashes_;
  std::vector<double> since_s_;
};

}  // namespace qn
