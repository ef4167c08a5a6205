// SPDX-License-Identifier: Apache-2.0
#include "server/pairing.h"

#include <openssl/crypto.h>
#include <openssl/evp.h>
#include <openssl/rand.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <utility>

#include "vocab/expects.h"

namespace qn {
namespace {

// No I, L, O or U: 32 signs, 5 bits each, 40 bits in a code.
constexpr std::string_view kSigns = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
constexpr std::size_t kCodeSigns = 8;
constexpr std::size_t kTokenBytes = 32;
constexpr double kMinute_s = 60.0;

template <std::size_t n>
std::array<unsigned char, n> random_bytes() {
  std::array<unsigned char, n> bytes{};
  QN_EXPECTS(RAND_bytes(bytes.data(), static_cast<int>(n)) ==
             1);  // no secret is better than a weak one
  return bytes;
}

std::string new_code() {
  std::string code;
  for (const unsigned char byte : random_bytes<kCodeSigns>()) code += kSigns[byte % kSigns.size()];
  return code;
}

template <std::size_t n>
std::string hex(const std::array<unsigned char, n>& bytes) {
  static constexpr char kDigits[] = "0123456789abcdef";
  std::string text;
  for (const unsigned char byte : bytes) {
    text += kDigits[byte >> 4];
    text += kDigits[byte & 15];
  }
  return text;
}

std::optional<std::array<unsigned char, 32>> hash_from(const std::string& digits) {
  std::array<unsigned char, 32> hash{};
  if (digits.size() != 2 * hash.size()) return std::nullopt;
  for (std::size_t i = 0; i < hash.size(); ++i) {
    const char* const from = digits.data() + 2 * i;
    const auto [end, trouble] = std::from_chars(from, from + 2, hash[i], 16);
    if (trouble != std::errc{} || end != from + 2) return std::nullopt;
  }
  return hash;
}

// What was typed, as the code is kept. Empty when it cannot be one.
std::string as_kept(const std::string& entered) {
  std::string code;
  for (const char c : entered) {
    const auto sign = static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    if (sign == ' ' || sign == '-') continue;
    code += sign == 'O' ? '0' : sign == 'I' || sign == 'L' ? '1' : sign;
  }
  return code.size() == kCodeSigns ? code : std::string{};
}

}  // namespace

Pairing::Pairing(std::function<double()> now_s, std::function<std::string()> utc_now)
    : now_s_{std::move(now_s)}, utc_now_{std::move(utc_now)} {}

void Pairing::invite(Role role) {
  code_ = new_code();
  code_role_ = role;
  code_until_s_ = now_s_() + kCodeLife_s;
  wrong_for_code_ = 0;
}

std::optional<Pairing::Code> Pairing::invitation() const {
  const double left_s = code_until_s_ - now_s_();
  if (code_.empty() || left_s <= 0.0) return std::nullopt;
  return Code{code_.substr(0, 4) + "-" + code_.substr(4), code_role_, left_s};
}

Pairing::Entry Pairing::enter(const std::string& code, const std::string& name,
                              const std::string& peer) {
  // Before the code is looked at: the right one is not told from a wrong one either.
  if (too_many_from(peer)) return {Outcome::too_many, {}, false};
  const std::string entered = as_kept(code);
  const bool alive = invitation().has_value();
  const std::string& against = alive ? code_ : std::string(kCodeSigns, '?');
  const bool right = entered.size() == against.size() &&
                     CRYPTO_memcmp(entered.data(), against.data(), against.size()) == 0;
  if (!right || !alive) return wrong_from(peer);
  code_.clear();
  return let_in(name);
}

bool Pairing::too_many_from(const std::string& peer) {
  const double now_s = now_s_();
  while (!wrong_.empty() && wrong_.front().at_s <= now_s - kMinute_s) wrong_.pop_front();
  const auto of_peer = std::count_if(wrong_.begin(), wrong_.end(),
                                     [&](const Wrong& one) { return one.peer == peer; });
  return wrong_.size() >= kWrongOfAll || static_cast<std::size_t>(of_peer) >= kWrongOfOne;
}

Pairing::Entry Pairing::wrong_from(const std::string& peer) {
  wrong_.push_back({peer, now_s_()});
  if (++wrong_for_code_ < kWrongOfAll || !invitation()) return {};
  invite(code_role_);
  return {Outcome::wrong, {}, true};
}

Pairing::Entry Pairing::let_in(const std::string& name) {
  while (visitors_.size() >= kMostVisitors) {  // whoever has been away longest makes room
    const auto oldest =
        std::min_element(visitors_.begin(), visitors_.end(),
                         [](const auto& a, const auto& b) { return a.seen_s < b.seen_s; });
    drop(static_cast<std::size_t>(oldest - visitors_.begin()));
  }
  const std::string token = hex(random_bytes<kTokenBytes>());
  visitors_.push_back({hex(random_bytes<8>()), own_name(name), code_role_, utc_now_(), now_s_()});
  hashes_.push_back(hash_of(token));
  since_s_.push_back(now_s_());
  if (on_changed) on_changed();
  return {Outcome::paired, token, false};
}

// Two phones are "phone" and "phone 2", so that the right one is sent away.
std::string Pairing::own_name(const std::string& wanted) const {
  std::string name;
  for (const char c : wanted) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x20 && byte != 0x7f) name += c;
  }
  std::size_t length = std::min<std::size_t>(name.size(), 40);
  // Not within a letter of several bytes (UTF-8).
  while (length < name.size() && length > 0 &&
         (static_cast<unsigned char>(name[length]) & 0xc0) == 0x80) {
    --length;
  }
  name.resize(length);
  if (name.find_first_not_of(' ') == std::string::npos) name = "device";
  const auto taken = [this](const std::string& one) {
    return std::any_of(visitors_.begin(), visitors_.end(),
                       [&](const PairedVisitor& visitor) { return visitor.name == one; });
  };
  std::string own = name;
  for (int number = 2; taken(own); ++number) own = name + " " + std::to_string(number);
  return own;
}

std::optional<PairedVisitor> Pairing::who(const std::string& token) {
  if (token.size() != 2 * kTokenBytes) return std::nullopt;
  const Hash hash = hash_of(token);
  std::size_t found = visitors_.size();
  for (std::size_t i = 0; i < visitors_.size(); ++i) {
    if (CRYPTO_memcmp(hashes_[i].data(), hash.data(), hash.size()) == 0) found = i;
  }
  if (found == visitors_.size()) return std::nullopt;
  if (now_s_() - since_s_[found] > kVisitLife_s) {
    drop(found);
    return std::nullopt;
  }
  visitors_[found].seen_s = now_s_();
  return visitors_[found];
}

std::optional<std::size_t> Pairing::index_of(const std::string& id) const {
  const auto there = std::find_if(visitors_.begin(), visitors_.end(),
                                  [&](const PairedVisitor& one) { return one.id == id; });
  if (there == visitors_.end()) return std::nullopt;
  return static_cast<std::size_t>(there - visitors_.begin());
}

bool Pairing::revoke(const std::string& id) {
  const auto index = index_of(id);
  if (index) drop(*index);
  return index.has_value();
}

bool Pairing::supersede(const std::string& id) {
  const auto index = index_of(id);
  if (index) forget(*index);
  return index.has_value();
}

void Pairing::forget(std::size_t index) {
  const auto at = static_cast<std::ptrdiff_t>(index);
  visitors_.erase(visitors_.begin() + at);
  hashes_.erase(hashes_.begin() + at);
  since_s_.erase(since_s_.begin() + at);
  if (on_changed) on_changed();
}

void Pairing::drop(std::size_t index) {
  const std::string id = visitors_[index].id;
  forget(index);
  if (on_gone) on_gone(id);
}

std::vector<KeptPairing> Pairing::kept() const {
  std::vector<KeptPairing> out;
  for (std::size_t i = 0; i < visitors_.size(); ++i) {
    const PairedVisitor& v = visitors_[i];
    out.push_back({v.id, v.name, v.role, v.since_utc, hex(hashes_[i]), now_s_() - since_s_[i]});
  }
  return out;
}

void Pairing::restore(const std::vector<KeptPairing>& kept) {
  for (const KeptPairing& one : kept) {
    const auto hash = hash_from(one.token_sha256);
    if (!hash || one.age_s > kVisitLife_s || visitors_.size() >= kMostVisitors) continue;
    visitors_.push_back({one.id, one.name, one.role, one.since_utc, now_s_()});
    hashes_.push_back(*hash);
    since_s_.push_back(now_s_() - one.age_s);
  }
}

Pairing::Hash Pairing::hash_of(const std::string& text) {
  Hash hash{};
  QN_EXPECTS(EVP_Digest(text.data(), text.size(), hash.data(), nullptr, EVP_sha256(), nullptr) ==
             1);
  return hash;
}

}  // namespace qn
