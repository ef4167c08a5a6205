// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "vocab/result.h"

namespace qn {

// The exit codes of the program. What a command computes goes to stdout, messages go to stderr.
inline constexpr int kExitDone = 0;
inline constexpr int kExitNotWithin = 1;  ///< --check was given and some verdict is not `within`
inline constexpr int kExitOption = 2;     ///< an option's value is wrong by itself
inline constexpr int kExitInput = 3;      ///< a named input is missing, unreadable or malformed
inline constexpr int kExitOutput = 4;     ///< the output, a port or the disk failed

int exit_code_for(ErrorKind kind);

/// Prints the error as one block on stderr; returns the exit code to end with.
int print_error(const Error& error);

/// Prints a remark on stderr, folded for a terminal; nothing for no words.
void print_note(std::string_view words);

/// Prints an answer on stdout and makes sure that it arrived; returns kExitDone, or what
/// print_error returns when the pipe or disk is gone. No answer is lost without a word.
int print_answer(std::string_view text);

}  // namespace qn
