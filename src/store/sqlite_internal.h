// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "vocab/result.h"

// A small wrapper of SQLite's C interface: what is opened is closed, what fails is an Error that
// names the book. Nothing here knows what a book holds.
namespace qn {

/// Bytes that are no text, to tell them apart where SQLite does.
struct Blob {
  std::string_view bytes;
};

/// What SQLite's last complaint about this connection means for a person.
/// name  of the book, for messages
Error sqlite_error(sqlite3* connection, int code, const std::string& name);

class Database;

/// A prepared statement with its values bound.
class Statement {
 public:
  /// True: a row is there. False: done.
  /// errors  of the disk, the lock or the file; BadInput when a value bound is no UTF-8 text or no
  ///         finite number
  Result<bool> step();
  /// Runs to the end, for statements that answer nothing.
  Result<Done> run();

  bool is_null(int column) const;
  std::int64_t integer(int column) const;
  double real(int column) const;
  std::optional<std::int64_t> optional_integer(int column) const;
  std::optional<double> optional_real(int column) const;
  template <class Id>
  std::optional<Id> optional_id(int column) const {
    if (is_null(column)) return std::nullopt;
    return Id{integer(column)};
  }
  std::string text(int column) const;
  std::string bytes(int column) const;
  int type(int column) const;

  // Values are bound in order. Texts and bytes are copied.
  Statement& bind(std::int64_t value);
  Statement& bind(double value);
  Statement& bind(std::string_view text);
  Statement& bind(Blob blob);
  Statement& bind(std::nullptr_t);
  template <class Id>
  requires std::is_enum_v<Id> Statement& bind(Id id) { return bind(static_cast<std::int64_t>(id)); }
  template <class T>
  Statement& bind(const std::optional<T>& value) {
    return value ? bind(*value) : bind(nullptr);
  }
  Statement& bind(const std::string& text) { return bind(std::string_view{text}); }
  Statement& bind(const char* text) { return bind(std::string_view{text}); }
  Statement& bind(int value) { return bind(std::int64_t{value}); }
  Statement& bind(std::size_t value) { return bind(static_cast<std::int64_t>(value)); }

 private:
  friend class Database;
  Statement(const Database* database, sqlite3_stmt* statement);
  const Database* database_;
  std::unique_ptr<sqlite3_stmt, int (*)(sqlite3_stmt*)> statement_;
  int bound_ = 0;
  int code_ = SQLITE_OK;
  std::optional<Error> refused_;
};

class Database {
 public:
  /// name   for messages
  /// flags  of sqlite3_open_v2
  static Result<std::unique_ptr<Database>> open(const std::string& file_or_uri,
                                                const std::string& name, int flags);
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  Result<Done> run(const std::string& sql);
  Result<Statement> prepare(const std::string& sql) const;
  template <class... Values>
  Result<Statement> query(const std::string& sql, const Values&... values) const {
    auto statement = prepare(sql);
    if (statement) (statement.value().bind(values), ...);
    return statement;
  }
  /// One statement that answers nothing.
  template <class... Values>
  Result<Done> change(const std::string& sql, const Values&... values) {
    auto statement = query(sql, values...);
    if (!statement) return statement.error();
    return statement.value().run();
  }
  /// One number, for PRAGMA and count(*); nothing when there is no row or it is NULL.
  template <class... Values>
  Result<std::optional<std::int64_t>> number(const std::string& sql,
                                             const Values&... values) const {
    auto statement = query(sql, values...);
    if (!statement) return statement.error();
    const auto row = statement.value().step();
    if (!row) return row.error();
    if (!row.value()) return std::optional<std::int64_t>{};
    return statement.value().optional_integer(0);
  }

  /// All pages of this one into another, consistent even while another program writes.
  Result<Done> copy_into(Database& other) const;
  bool in_transaction() const { return sqlite3_get_autocommit(connection_.get()) == 0; }
  /// SQLite's (extended) code of the last call.
  int last_code() const { return sqlite3_extended_errcode(connection_.get()); }
  Error error(int code) const { return sqlite_error(connection_.get(), code, name_); }
  const std::string& name() const { return name_; }

 private:
  Database(sqlite3* connection, std::string name)
      : connection_{connection, &sqlite3_close_v2}, name_{std::move(name)} {}
  std::unique_ptr<sqlite3, int (*)(sqlite3*)> connection_;
  std::string name_;
};

/// Every row of a query, made into a T by make(row), which returns a T or a Result<T>.
template <class T, class Make>
Result<std::vector<T>> all_rows(Result<Statement> rows, const Make& make) {
  if (!rows) return rows.error();
  std::vector<T> all;
  for (;;) {
    const auto row = rows.value().step();
    if (!row) return row.error();
    if (!row.value()) return all;
    Result<T> made = make(std::as_const(rows.value()));
    if (!made) return made.error();
    all.push_back(std::move(made).value());
  }
}

/// Runs INSERT ... RETURNING id to its end, which is when it is kept.
template <class Id>
Result<Id> inserted_id(Result<Statement> statement) {
  if (!statement) return statement.error();
  const auto row = statement.value().step();
  if (!row) return row.error();
  const std::int64_t id = statement.value().integer(0);
  if (auto done = statement.value().run(); !done) return done.error();
  return Id{id};
}

/// All or nothing: taken back when it is not committed, for whatever reason.
class Transaction {
 public:
  static Result<Transaction> begin(Database& database);
  Transaction(Transaction&& other) noexcept : database_{std::exchange(other.database_, nullptr)} {}
  Transaction& operator=(Transaction&&) = delete;
  ~Transaction();
  /// Returns when the disk has it: this is what an acknowledgement waits for.
  Result<Done> commit();

 private:
  explicit Transaction(Database& database) : database_{&database} {}
  Database* database_;
};

}  // namespace qn
