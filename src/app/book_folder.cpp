// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <utility>

#include "app/book_folder_internal.h"
#include "app/csv_row.h"

namespace qn {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLargestPart = 8 * 1024 * 1024;

std::string part_name(const std::string& name, std::size_t part) {
  return part <= 1 ? name + ".csv" : fmt::format("{}-{}.csv", name, part);
}

Error cannot_make(const std::string& place, const std::string& why) {
  return {ErrorKind::Io, "the folder cannot be written: " + why, place.empty() ? "''" : place,
          "a new folder in one that you may write to, with room for the book",
          "choose another place; nothing was written"};
}

void sync(const fs::path& path) {
  const int file = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return;
  (void)::fsync(file);  // some file systems cannot, which is no error
  ::close(file);
}

}  // namespace

Result<NewFolder> NewFolder::at(const std::string& place) {
  std::error_code trouble;
  fs::path whole{place};
  if (!whole.has_filename()) whole = whole.parent_path();
  if (whole.empty()) return cannot_make(place, "no folder was named");
  if (fs::exists(whole, trouble) && !(fs::is_directory(whole) && fs::is_empty(whole, trouble))) {
    return cannot_make(place, "there is something of that name already");
  }
  const fs::path partial =
      whole.parent_path() / fmt::format(".partial-{}-{}", ::getpid(), whole.filename().string());
  NewFolder folder{whole.string(), partial.string()};
  fs::remove_all(partial, trouble);
  trouble.clear();
  fs::create_directories(partial, trouble);
  if (trouble) return cannot_make(place, trouble.message());
  return folder;
}

NewFolder::NewFolder(std::string place, std::string partial)
    : place_{std::move(place)}, partial_{std::move(partial)} {}
NewFolder::NewFolder(NewFolder&& other) noexcept
    : place_{std::move(other.place_)}, partial_{std::exchange(other.partial_, {})} {}
NewFolder::~NewFolder() {
  std::error_code ignored;
  if (!partial_.empty()) fs::remove_all(partial_, ignored);
}

std::string NewFolder::path(const std::string& name) const {
  const fs::path path = fs::path{partial_} / name;
  std::error_code ignored;  // a file that cannot be opened in it is reported by its writer
  fs::create_directories(path.parent_path(), ignored);
  return path.string();
}

Result<Done> NewFolder::write(const std::string& name, const std::string& bytes) const {
  std::ofstream file{path(name), std::ios::binary};
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  if (!file) return not_written();
  return Done{};
}

Error NewFolder::not_written() const { return cannot_make(place_, std::strerror(errno)); }

Result<Done> NewFolder::publish() {
  for (const auto& file : fs::recursive_directory_iterator{partial_}) sync(file.path());
  std::error_code trouble;
  fs::rename(partial_, place_, trouble);  // takes the place of an empty folder, and of nothing else
  if (trouble) return cannot_make(place_, trouble.message());
  const auto above = fs::path{place_}.parent_path();
  sync(above.empty() ? fs::path{"."} : above);
  partial_.clear();
  return Done{};
}

TableWriter::TableWriter(const NewFolder& folder, std::string name,
                         const std::vector<std::string>& header)
    : folder_{folder}, name_{std::move(name)}, header_{csv_row(header)} {
  open();
}

void TableWriter::open() {
  if (file_.is_open()) {
    file_.close();
    good_ = good_ && file_.good();
  }
  file_.clear();
  file_.open(folder_.path(part_name(name_, ++part_)), std::ios::binary);
  file_ << header_;
  written_ = header_.size();
}

void TableWriter::add(const std::vector<std::string>& cells) {
  const std::string row = csv_row(cells);
  if (written_ + row.size() > kLargestPart) open();
  file_ << row;
  written_ += row.size();
}

Result<Done> TableWriter::close() {
  file_.close();
  if (!good_ || !file_.good()) return cannot_make(name_ + ".csv", std::strerror(errno));
  return Done{};
}

TableReader::TableReader(std::string folder, std::string name, std::vector<std::string> columns)
    : folder_{std::move(folder)}, name_{std::move(name)}, columns_{std::move(columns)} {}

Result<bool> TableReader::open_next() {
  const std::string file = part_name(name_, ++part_);
  const fs::path path = fs::path{folder_} / file;
  std::error_code trouble;
  if (!fs::exists(path, trouble)) return false;
  auto table = read_csv_table(path.string(), file);
  if (!table) return table.error();
  table_ = std::move(table).value();
  row_ = 0;
  at_.clear();
  for (const std::string& column : columns_) {
    const auto found = table_->find(column);
    if (!found) {
      return Error{ErrorKind::BadInput, "no column is called " + column, file,
                   "the columns as they were exported", "put the column back"};
    }
    at_.push_back(*found);
  }
  return true;
}

Result<std::optional<std::vector<std::string>>> TableReader::next() {
  using Row = std::optional<std::vector<std::string>>;
  while (!table_ || row_ == table_->rows().size()) {
    const auto opened = open_next();
    if (!opened) return opened.error();
    if (!opened.value()) return Row{};
  }
  std::vector<std::string> cells;
  for (const std::size_t column : at_) cells.push_back(table_->text(row_, column));
  ++row_;
  return Row{std::move(cells)};
}

std::string TableReader::place() const {
  return table_ && row_ > 0 ? table_->place(row_ - 1) : part_name(name_, 1);
}
std::string TableReader::place(std::size_t column) const {
  return table_ && row_ > 0 ? table_->place(row_ - 1, at_[column]) : place();
}

}  // namespace qn
