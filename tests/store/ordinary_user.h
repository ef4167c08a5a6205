// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/wait.h>
#include <unistd.h>

#include <functional>

namespace qn::test {

/// Runs `work` in a process without the superuser's right to write anywhere, since tests are run
/// by root too. Returns what `work` returned (0 to 99), or 100 and more when it did not come to
/// that. CHECK has no effect in there.
inline int as_ordinary_user(const std::function<int()>& work) {
  const pid_t child = ::fork();
  if (child == 0) {
    constexpr uid_t kNobody = 65534;
    if (::geteuid() == 0 && (::setgid(kNobody) != 0 || ::setuid(kNobody) != 0)) ::_exit(100);
    ::_exit(work());
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 101;
}

}  // namespace qn::test
