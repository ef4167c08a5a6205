// SPDX-License-Identifier: Apache-2.0
#include "server/tls_identity.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <optional>
#include <vector>

#include "server/private_file.h"

namespace qn {
namespace {

constexpr std::int64_t kWeek_s = 7 * 86400;
constexpr std::size_t kMostNames = 16;  // of each sort; the oldest go
constexpr std::string_view kEnd = "-----END CERTIFICATE-----\n";

Error disk_refuses_key(const std::string& path, const std::string& reason) {
  return Error{ErrorKind::Io, "the key of the network's door cannot be kept: " + reason, path,
               "a folder of your own that can be written",
               "make it writable, or set XDG_STATE_HOME to another folder"};
}

// One file, so that a key and another run's certificate never stand side by side.
std::optional<TlsIdentity> read_kept(const std::string& path) {
  const auto read = read_private_file(path);
  if (!read) return std::nullopt;
  const std::string& all = *read;
  const std::size_t certificate = all.find("-----BEGIN CERTIFICATE-----");
  const std::size_t between = all.find(kEnd);
  if (certificate == std::string::npos || between == std::string::npos) return std::nullopt;
  const std::size_t authority = between + kEnd.size();
  TlsIdentity identity;
  identity.kept = {all.substr(0, certificate), all.substr(certificate, authority - certificate),
                   all.substr(authority)};
  auto facts = facts_of(identity.kept);
  if (!facts) return std::nullopt;
  identity.facts = std::move(facts).value();
  return identity;
}

bool has_all(const std::vector<std::string>& kept, const std::vector<std::string>& wanted) {
  return std::all_of(wanted.begin(), wanted.end(), [&](const std::string& one) {
    return std::find(kept.begin(), kept.end(), one) != kept.end();
  });
}

std::vector<std::string> joined(std::vector<std::string> now, const std::vector<std::string>& old) {
  for (const auto& one : old) {
    if (now.size() < kMostNames && one != "localhost" && !has_all(now, {one})) now.push_back(one);
  }
  return now;
}

}  // namespace

Result<std::string> state_folder() {
  // The specification of these folders takes no relative path.
  if (const char* state = std::getenv("XDG_STATE_HOME"); state != nullptr && state[0] == '/') {
    return std::string{state} + "/quietnorth";
  }
  if (const char* home = std::getenv("HOME"); home != nullptr && home[0] == '/') {
    return std::string{home} + "/.local/state/quietnorth";
  }
  return disk_refuses_key("HOME", "there is no home folder");
}

Result<TlsIdentity> tls_identity(const std::string& folder, const OwnNames& names,
                                 std::int64_t now_unix_s) {
  const std::string path = folder + "/network-door.pem";
  auto kept = read_kept(path);
  const bool good = kept && kept->facts.until_unix_s > now_unix_s + kWeek_s &&
                    has_all(kept->facts.names.addresses, names.addresses) &&
                    has_all(kept->facts.names.names, names.names);
  if (good) return std::move(*kept);
  std::error_code failed;
  const bool made = std::filesystem::create_directories(folder, failed);
  if (failed) return disk_refuses_key(folder, failed.message());
  if (made) std::filesystem::permissions(folder, std::filesystem::perms::owner_all, failed);
  OwnNames wanted = names;
  if (kept) {
    wanted.addresses = joined(wanted.addresses, kept->facts.names.addresses);
    wanted.names = joined(wanted.names, kept->facts.names.names);
  }
  auto fresh = make_certificate(wanted, now_unix_s);
  if (!fresh) return fresh.error();
  const CertifiedKey& made_now = fresh.value();
  const auto refused =
      write_private_file(path, made_now.key + made_now.certificate + made_now.authority);
  if (refused) return disk_refuses_key(path, *refused);
  auto facts = facts_of(fresh.value());
  if (!facts) return facts.error();
  return TlsIdentity{std::move(fresh).value(), std::move(facts).value()};
}

}  // namespace qn
