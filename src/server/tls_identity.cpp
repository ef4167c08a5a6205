// SPDX-License-Identifier: Apache-2.0
#include "server/tls_identity.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <vector>

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
  struct stat about {};
  if (::stat(path.c_str(), &about) != 0 || (about.st_mode & 077) != 0) return std::nullopt;
  std::ifstream in{path, std::ios::binary};
  const std::string all{std::istreambuf_iterator<char>{in}, {}};
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

std::optional<Error> write_kept(const std::string& path, const CertifiedKey& kept) {
  std::string name = path + "-XXXXXX";
  const int file = ::mkstemp(name.data());  // readable by its owner alone from the first byte
  if (file < 0) return disk_refuses_key(path, std::strerror(errno));
  const std::string all = kept.key + kept.certificate + kept.authority;
  const bool written = ::write(file, all.data(), all.size()) == static_cast<ssize_t>(all.size()) &&
                       ::fsync(file) == 0;
  const int why = errno;
  ::close(file);
  if (written && ::rename(name.c_str(), path.c_str()) == 0) return std::nullopt;
  const int reason = written ? errno : why;
  ::unlink(name.c_str());
  return disk_refuses_key(path, std::strerror(reason));
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
  if (const auto error = write_kept(path, fresh.value())) return *error;
  auto facts = facts_of(fresh.value());
  if (!facts) return facts.error();
  return TlsIdentity{std::move(fresh).value(), std::move(facts).value()};
}

}  // namespace qn
