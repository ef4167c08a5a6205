// SPDX-License-Identifier: Apache-2.0
#include "cli/terminal.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <string>

#include "cli/folded_text.h"

namespace qn {

int exit_code_for(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::OutOfRange: return kExitOption;
    case ErrorKind::BadInput:
    case ErrorKind::Corrupt:
    case ErrorKind::Unobservable: return kExitInput;
    case ErrorKind::DeviceLost:
    case ErrorKind::Io: break;
  }
  return kExitOutput;
}

int print_error(const Error& error) {
  std::fflush(stdout);  // so that both appear in order on a terminal
  std::fprintf(stderr, "quietnorth: %s\n", to_text(error).c_str());
  return exit_code_for(error.kind);
}

void print_note(std::string_view words) {
  if (words.empty()) return;
  std::fflush(stdout);  // so that both appear in order on a terminal
  std::fprintf(stderr, "%s\n", folded(std::string{words}).c_str());
}

int print_answer(std::string_view text) {
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
  if (written && std::fflush(stdout) == 0) return kExitDone;
  const std::string reason = std::strerror(errno);
  return print_error(Error{ErrorKind::Io, "the answer could not be written: " + reason,
                           "standard output", "a terminal, pipe or file that takes it",
                           "check the disk, or the program that the output goes to"});
}

}  // namespace qn
