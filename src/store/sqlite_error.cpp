// SPDX-License-Identifier: Apache-2.0
#include <cerrno>
#include <cstring>

#include "store/sqlite_internal.h"

namespace qn {
namespace {

constexpr const char* kStillThere = "what was acknowledged before is in the book; ";

Error disk_error(const std::string& name, int system_errno) {
  const std::string reason =
      system_errno == 0 ? "" : std::string{": "} + std::strerror(system_errno);
  return {
      ErrorKind::Io, "the disk failed while the book was read or written" + reason, name,
      "a disk that reads and writes without errors",
      std::string{kStillThere} + "copy it to another disk (quietnorth book copy) and go on there"};
}

Error full(const std::string& name) {
  return {ErrorKind::Io, "the disk is full: this last piece could not be kept", name,
          "free space on the disk of the book",
          std::string{kStillThere} + "free some space, then do the last step again"};
}

}  // namespace

Error sqlite_error(sqlite3* connection, int code, const std::string& name) {
  const int system_errno = connection == nullptr ? 0 : sqlite3_system_errno(connection);
  const std::string said =
      connection == nullptr ? sqlite3_errstr(code) : sqlite3_errmsg(connection);
  switch (code & 0xff) {
    case SQLITE_FULL: return full(name);
    case SQLITE_IOERR:
      return system_errno == ENOSPC || system_errno == EDQUOT ? full(name)
                                                              : disk_error(name, system_errno);
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return {ErrorKind::Io, "another program holds the book", name,
              "one program at a time that writes", "end the other program, then try again"};
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return {ErrorKind::Io, "the book cannot be written to", name,
              "a file and a folder that you may write to",
              "allow it (chmod u+w), or copy the book to a place that can be written "
              "(quietnorth book copy)"};
    case SQLITE_CANTOPEN:
      return {
          ErrorKind::Io,
          "the book cannot be opened: " + (system_errno == 0 ? said : std::strerror(system_errno)),
          name, "a book in a folder that you may read",
          "check the name, and that you may read the file and its folder"};
    case SQLITE_NOTADB:
      return {ErrorKind::BadInput, "the file is no aircraft book", name,
              "a file made by `quietnorth book new`",
              "check the name; a new book is made with `quietnorth book new`"};
    case SQLITE_CORRUPT:
      return {ErrorKind::Corrupt, "the book is damaged: " + said, name, "an undamaged book",
              "do not write to it any more: keep a copy of the file as it is, run `quietnorth book "
              "check`, and go on with your last copy or export"};
    case SQLITE_CONSTRAINT:
      return {ErrorKind::BadInput, "the book does not take this: " + said, name,
              "values that fit together, as in docs/formats/aircraft-book.md",
              "correct the value; nothing was written"};
    case SQLITE_TOOBIG:
      return {ErrorKind::BadInput, "one piece is too large for the book", name,
              "pieces below 1000 MB", "keep the file beside the book instead"};
    default:
      return {ErrorKind::Io, "the book could not be read or written: " + said, name,
              "a book that this program can use",
              "try again; if it stays, run `quietnorth book check`"};
  }
}

}  // namespace qn
