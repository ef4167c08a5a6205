// SPDX-License-Identifier: Apache-2.0
#include "app/export_book.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "support/sample_book.h"

using namespace qn;
using namespace qn::test;
namespace fs = std::filesystem;

namespace {

/// The sample book and its export.
class ExportedSample {
 public:
  ExportedSample() {
    Book book = new_book(path("b.qnbook"));
    fill_sample(book);
    // Texts that a table could take for something else.
    must(book.put_site(
        {{}, " # \"odd\";\t'name', \u00b0 ", -0.1, 1e-300, 0.1 + 0.2, {}, {}, "a\r\nb"}));
    must(book.put_sensor({{}, "nan", "", "", "", "\n"}));
    content_ = must(book.content_sha256());
    must(export_book(book, path("out")));
  }
  std::string path(const std::string& name) const { return folder_.path(name); }
  std::string file(const std::string& name) const { return path("out/" + name); }
  const std::string& content() const { return content_; }
  void change(const std::string& name, const std::string& from, const std::string& to) const {
    std::string text = bytes_in(file(name));
    const std::size_t at = text.find(from);
    if (at == std::string::npos) FAIL(name << " does not hold " << from);
    text.replace(at, from.size(), to);
    std::ofstream{file(name), std::ios::binary} << text;
  }
  Result<ImportedBook> import() const { return import_book(path("out"), path("again.qnbook")); }
  /// Refused, and nothing is left of the attempt.
  Error refused() const {
    const auto imported = import();
    if (imported) FAIL("it was imported");
    CHECK_FALSE(fs::exists(path("again.qnbook")));
    std::size_t entries = 0;
    for (const auto& entry : fs::directory_iterator{path("")}) {
      (void)entry;
      ++entries;
    }
    CHECK(entries == 2);
    return imported.error();
  }

 private:
  TemporaryFolder folder_;
  std::string content_;
};

}  // namespace

TEST_CASE("an exported book is imported as an equal one", "[app][synthetic]") {
  const ExportedSample sample;
  CHECK(must(sample.import()).equal);
  const Book again = must(Book::open(sample.path("again.qnbook")));
  CHECK(must(again.content_sha256()) == sample.content());
  CHECK(faults_of(again).empty());
  must(export_book(again, sample.path("out-2")));
  std::size_t files = 0;
  for (const auto& entry : fs::recursive_directory_iterator{sample.path("out")}) {
    if (!entry.is_regular_file()) continue;
    const auto name = fs::relative(entry.path(), sample.path("out")).string();
    INFO(name);
    CHECK(bytes_in(sample.file(name)) == bytes_in(sample.path("out-2/" + name)));
    ++files;
  }
  CHECK(files > 15);
}

TEST_CASE("an export is files that other programs read", "[app][synthetic]") {
  const ExportedSample sample;
  const auto head = nlohmann::json::parse(bytes_in(sample.file("book.json")));
  CHECK(head.at("schema") == "quietnorth/book-folder/1");
  CHECK(head.at("aircraft") == "Brindle");
  CHECK(head.at("content_sha256") == sample.content());
  std::string raw;
  for (std::size_t n = 0; n < 5; ++n) raw += second_of_bytes(n).links[0].bytes;
  CHECK(bytes_in(sample.file("raw/1-0.bin")) == raw);
  CHECK(bytes_in(sample.file("results/1.json")) == sample_finding().result);
  CHECK(bytes_in(sample.file("equipment.csv")).find("Gear,moving,,down|up") != std::string::npos);
  CHECK(bytes_in(sample.file("mark.csv")) ==
        "recording,number,time_s,device,state\n1,0,1.5,Gear,up\n1,1,3.5,*,0\n");
}

TEST_CASE("a table of a long recording goes on in a second file", "[app][synthetic]") {
  const TemporaryFolder folder;
  Book book = new_book(folder.path("b.qnbook"));
  const auto id = must(book.start_recording(sample_recording()));
  Stretch stretch{0.0, 1.0, {{0, std::string(600000, 'x'), {}}}};
  for (std::uint32_t i = 0; i < 600000; ++i) {
    stretch.links[0].pieces.push_back({1, 1.0 / 3.0 + 1e-6 * i});
  }
  must(book.append(id, stretch));
  must(export_book(book, folder.path("out")));
  CHECK(fs::exists(folder.path("out/piece-2.csv")));
  CHECK(must(import_book(folder.path("out"), folder.path("again.qnbook"))).equal);
}

TEST_CASE("an export takes the place of nothing", "[app][closed-form]") {
  const TemporaryFolder folder;
  const Book book = new_book(folder.path("b.qnbook"));
  fs::create_directory(folder.path("empty"));
  must(export_book(book, folder.path("empty/")));
  CHECK(fs::exists(folder.path("empty/book.json")));
  CHECK(export_book(book, folder.path("empty")).error().kind == ErrorKind::Io);
  CHECK(export_book(book, folder.path("b.qnbook")).error().kind == ErrorKind::Io);
  CHECK(export_book(book, "").error().kind == ErrorKind::Io);
  must(import_book(folder.path("empty"), folder.path("again.qnbook")));
  CHECK(import_book(folder.path("empty"), folder.path("again.qnbook")).error().kind ==
        ErrorKind::Io);
}

TEST_CASE("what was changed in a folder is imported as long as it is not evidence",
          "[app][closed-form]") {
  const ExportedSample sample;
  sample.change("sensor.csv", "screws of brass", "screws of plastic");
  CHECK_FALSE(must(sample.import()).equal);
}

TEST_CASE("changed raw bytes, files and findings are refused", "[app][closed-form]") {
  {
    const ExportedSample sample;
    sample.change("raw/1-0.bin", "$HCHDG,1.7", "$HCHDG,2.7");
    const Error error = sample.refused();
    CHECK(error.kind == ErrorKind::Corrupt);
    CHECK(error.where.find("recording 1, link 0, from 1.0 to 2.0 s") != std::string::npos);
  }
  {
    const ExportedSample sample;
    sample.change("piece.csv", "1.005", "1.006");
    CHECK(sample.refused().kind == ErrorKind::Corrupt);
  }
  {
    const ExportedSample sample;
    sample.change("results/2.json", "...", "all is well");
    CHECK(sample.refused().where.find("finding 2") != std::string::npos);
  }
  {
    const ExportedSample sample;
    sample.change("finding.csv", "unproven", "within");
    CHECK(sample.refused().where.find("finding 1") != std::string::npos);
  }
}

TEST_CASE("a folder that is none says which file is wrong", "[app][closed-form]") {
  struct Case {
    const char* file;
    const char* from;
    const char* to;
    const char* where;
  };
  for (const Case& c : {Case{"book.json", "quietnorth/book-folder/1", "other/1", "book.json"},
                        Case{"mark.csv", "time_s", "seconds", "mark.csv"},
                        Case{"mark.csv", "1,0,1.5", "1,0,soon", "mark.csv, line 2"},
                        Case{"mark.csv", "1,0,1.5", "1.5,0,1.5", "mark.csv, line 2"},
                        Case{"mark.csv", "1,0,1.5", "9,0,1.5", "book.qnbook"},
                        Case{"chunk.csv", "1,1,0,", "1,1,1,", "piece.csv"},
                        Case{"finding.csv", "results/1.json", "../b.qnbook", "finding.csv, line 2"},
                        Case{"finding.csv", "results/1.json", "results/9.json", "9.json"},
                        Case{"equipment.csv", "moving", "odd", "equipment.csv, line"}}) {
    INFO(c.file << ": " << c.to);
    const ExportedSample sample;
    sample.change(c.file, c.from, c.to);
    const Error error = sample.refused();
    INFO(to_text(error));
    CHECK(error.kind == ErrorKind::BadInput);
    CHECK(error.where.find(c.where) != std::string::npos);
  }
  const TemporaryFolder folder;
  CHECK(import_book(folder.path("none"), folder.path("b.qnbook")).error().kind ==
        ErrorKind::BadInput);
  const ExportedSample sample;
  fs::remove(sample.file("raw/1-0.bin"));
  CHECK(sample.refused().where == "raw/1-0.bin");
}
