// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sqlite3.h>

#include <catch2/catch.hpp>
#include <string>

namespace qn::test {

/// SQLite by itself, without our layer: to make what our layer would not, and to ask for a second
/// opinion.
class RawSqlite {
 public:
  explicit RawSqlite(const std::string& path) {
    if (sqlite3_open(path.c_str(), &connection_) != SQLITE_OK) FAIL("not opened: " << path);
  }
  ~RawSqlite() { sqlite3_close(connection_); }
  RawSqlite(const RawSqlite&) = delete;
  RawSqlite& operator=(const RawSqlite&) = delete;

  void run(const std::string& sql) {
    char* said = nullptr;
    const int code = sqlite3_exec(connection_, sql.c_str(), nullptr, nullptr, &said);
    if (code != SQLITE_OK) FAIL((said == nullptr ? "" : said) << " in " << sql);
  }
  std::string text(const std::string& sql) {
    sqlite3_stmt* statement = nullptr;
    std::string value;
    if (sqlite3_prepare_v2(connection_, sql.c_str(), -1, &statement, nullptr) == SQLITE_OK &&
        sqlite3_step(statement) == SQLITE_ROW) {
      const void* const bytes = sqlite3_column_blob(statement, 0);
      const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement, 0));
      if (bytes != nullptr) value.assign(static_cast<const char*>(bytes), size);
    } else {
      value = std::string{"failed: "} + sqlite3_errmsg(connection_);
    }
    sqlite3_finalize(statement);
    return value;
  }
  int number(const std::string& sql) { return std::stoi(text(sql)); }

 private:
  sqlite3* connection_ = nullptr;
};

/// What SQLite itself says of the file: "ok".
inline std::string integrity_of(const std::string& path) {
  return RawSqlite{path}.text("PRAGMA integrity_check");
}

}  // namespace qn::test
