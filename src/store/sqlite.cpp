// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <utility>

#include "store/sqlite_internal.h"
#include "store/utf8_internal.h"

namespace qn {
namespace {

Error refused_value(const std::string& name, std::string what, std::string expected) {
  return {ErrorKind::BadInput, std::move(what), name, std::move(expected),
          "correct the value; nothing was written"};
}

}  // namespace

Statement::Statement(const Database* database, sqlite3_stmt* statement)
    : database_{database}, statement_{statement, &sqlite3_finalize} {}

Statement& Statement::bind(std::int64_t value) {
  const int code = sqlite3_bind_int64(statement_.get(), ++bound_, value);
  if (code != SQLITE_OK) code_ = code;
  return *this;
}

Statement& Statement::bind(double value) {
  if (!std::isfinite(value)) {
    refused_ = refused_value(database_->name(), "a number to be kept is not finite",
                             "finite numbers; what is not known is left out");
  }
  const int code = sqlite3_bind_double(statement_.get(), ++bound_, value);
  if (code != SQLITE_OK) code_ = code;
  return *this;
}

Statement& Statement::bind(std::string_view text) {
  // Both would be kept by SQLite, and would not survive the export as a text file.
  if (!is_utf8_text(text)) {
    refused_ = refused_value(database_->name(), "a text to be kept is not plain text",
                             "UTF-8 without zero bytes");
  }
  const int code = sqlite3_bind_text64(statement_.get(), ++bound_, text.empty() ? "" : text.data(),
                                       text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
  if (code != SQLITE_OK) code_ = code;
  return *this;
}

Statement& Statement::bind(Blob blob) {
  // A null pointer would be kept as NULL, which is not the same as no bytes.
  const char* const data = blob.bytes.empty() ? "" : blob.bytes.data();
  const int code =
      sqlite3_bind_blob64(statement_.get(), ++bound_, data, blob.bytes.size(), SQLITE_TRANSIENT);
  if (code != SQLITE_OK) code_ = code;
  return *this;
}

Statement& Statement::bind(std::nullptr_t) {
  const int code = sqlite3_bind_null(statement_.get(), ++bound_);
  if (code != SQLITE_OK) code_ = code;
  return *this;
}

Result<bool> Statement::step() {
  if (refused_) return *refused_;
  if (code_ != SQLITE_OK) return database_->error(code_);
  const int code = sqlite3_step(statement_.get());
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  return database_->error(code);
}

Result<Done> Statement::run() {
  for (;;) {
    const auto row = step();
    if (!row) return row.error();
    if (!row.value()) return Done{};
  }
}

bool Statement::is_null(int column) const { return type(column) == SQLITE_NULL; }
int Statement::type(int column) const { return sqlite3_column_type(statement_.get(), column); }
std::int64_t Statement::integer(int column) const {
  return sqlite3_column_int64(statement_.get(), column);
}
double Statement::real(int column) const { return sqlite3_column_double(statement_.get(), column); }
std::optional<std::int64_t> Statement::optional_integer(int column) const {
  if (is_null(column)) return std::nullopt;
  return integer(column);
}
std::optional<double> Statement::optional_real(int column) const {
  if (is_null(column)) return std::nullopt;
  return real(column);
}
std::string Statement::bytes(int column) const {
  const void* const data = sqlite3_column_blob(statement_.get(), column);
  const auto size = static_cast<std::size_t>(sqlite3_column_bytes(statement_.get(), column));
  return data == nullptr ? std::string{} : std::string{static_cast<const char*>(data), size};
}
std::string Statement::text(int column) const { return bytes(column); }

Result<std::unique_ptr<Database>> Database::open(const std::string& file_or_uri,
                                                 const std::string& name, int flags) {
  sqlite3* connection = nullptr;
  const int code = sqlite3_open_v2(file_or_uri.c_str(), &connection, flags, nullptr);
  std::unique_ptr<Database> database{new Database{connection, name}};
  if (code != SQLITE_OK) return sqlite_error(connection, code, name);
  sqlite3_extended_result_codes(connection, 1);
  sqlite3_busy_timeout(connection, 5000);
  // A damaged or hostile file must not make SQLite run code of its schema.
  sqlite3_db_config(connection, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  sqlite3_db_config(connection, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  return database;
}

Result<Done> Database::run(const std::string& sql) {
  const int code = sqlite3_exec(connection_.get(), sql.c_str(), nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) return error(code);
  return Done{};
}

Result<Statement> Database::prepare(const std::string& sql) const {
  sqlite3_stmt* statement = nullptr;
  const int code = sqlite3_prepare_v2(connection_.get(), sql.c_str(), -1, &statement, nullptr);
  if (code != SQLITE_OK) return error(code);
  return Statement{this, statement};
}

Result<Done> Database::copy_into(Database& other) const {
  sqlite3_backup* const backup =
      sqlite3_backup_init(other.connection_.get(), "main", connection_.get(), "main");
  if (backup == nullptr) return other.error(sqlite3_errcode(other.connection_.get()));
  int code = SQLITE_OK;
  do {
    code = sqlite3_backup_step(backup, -1);
    if (code == SQLITE_BUSY || code == SQLITE_LOCKED) sqlite3_sleep(20);
  } while (code == SQLITE_BUSY || code == SQLITE_LOCKED);
  (void)sqlite3_backup_finish(backup);
  if (code != SQLITE_DONE) return other.error(code);
  return Done{};
}

Result<Transaction> Transaction::begin(Database& database) {
  // IMMEDIATE: whoever cannot write learns it here, not at the end.
  if (auto begun = database.run("BEGIN IMMEDIATE"); !begun) return begun.error();
  return Transaction{database};
}

Result<Done> Transaction::commit() {
  auto committed = database_->run("COMMIT");
  if (committed) database_ = nullptr;
  return committed;
}

Transaction::~Transaction() {
  if (database_ != nullptr && database_->in_transaction()) (void)database_->run("ROLLBACK");
}

}  // namespace qn
