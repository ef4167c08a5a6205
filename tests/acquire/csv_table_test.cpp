// SPDX-License-Identifier: Apache-2.0
#include "acquire/csv_table.h"

#include <catch2/catch.hpp>

#include "acquire/log_texts.h"

using qn::test::contains;

namespace {

qn::Result<qn::CsvTable> table_of(std::string_view text) {
  return qn::parse_csv_table(*qn::memory_source(text, "t.csv"));
}

using Cells = std::vector<std::string>;

}  // namespace

TEST_CASE("The examples of RFC 4180, section 2, are read as it says", "[acquire][published]") {
  SECTION("rule 1: records on separate lines, ended by CR LF") {
    const auto t = table_of("a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n");
    REQUIRE(t.has_value());
    REQUIRE(t.value().rows().size() == 2);
    CHECK(t.value().rows()[0].cells == Cells{"aaa", "bbb", "ccc"});
    CHECK(t.value().rows()[1].cells == Cells{"zzz", "yyy", "xxx"});
  }
  SECTION("rule 2: the last record may lack its line end") {
    const auto t = table_of("a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx");
    REQUIRE(t.has_value());
    CHECK(t.value().rows()[1].cells == Cells{"zzz", "yyy", "xxx"});
  }
  SECTION("rule 3: a header line of names") {
    const auto t = table_of("field_name,field_name2,field_name3\r\naaa,bbb,ccc\r\n");
    REQUIRE(t.has_value());
    CHECK(t.value().header() == Cells{"field_name", "field_name2", "field_name3"});
  }
  SECTION("rule 5: quotes around fields, or not") {
    const auto t = table_of("a,b,c\r\n\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx\r\n");
    REQUIRE(t.has_value());
    CHECK(t.value().rows()[0].cells == Cells{"aaa", "bbb", "ccc"});
  }
  SECTION("rule 6: line breaks and commas inside quotes") {
    const auto t = table_of("a,b,c\r\n\"aaa\",\"b\r\nbb\",\"c,cc\"\r\nzzz,yyy,xxx\r\n");
    REQUIRE(t.has_value());
    REQUIRE(t.value().rows().size() == 2);
    CHECK(t.value().rows()[0].cells == Cells{"aaa", "b\r\nbb", "c,cc"});
    CHECK(t.value().rows()[1].line == 4);  // the row before takes two lines of the file
  }
  SECTION("rule 7: a quote inside quotes is doubled") {
    const auto t = table_of("a,b,c\r\n\"aaa\",\"b\"\"bb\",\"ccc\"\r\n");
    REQUIRE(t.has_value());
    CHECK(t.value().rows()[0].cells == Cells{"aaa", "b\"bb", "ccc"});
  }
}

TEST_CASE("Rows are found by name, and cells by line and column", "[acquire][closed-form]") {
  const auto t = table_of("# stations of a day\nStation_deg;note\n10,5;\"a;b\"\n\n# pause\n;\n");
  REQUIRE(t.has_value());
  REQUIRE(t.value().rows().size() == 2);
  const auto column = t.value().find("station_DEG");
  REQUIRE(column.has_value());
  CHECK(t.value().number(0, *column).value() == 10.5);
  CHECK(t.value().text(0, 1) == "a;b");
  CHECK_FALSE(t.value().number(1, *column).value().has_value());
  CHECK(t.value().place(1) == "t.csv, line 6");
  CHECK(t.value().place(0, 0) == "t.csv, line 3, column 1 (Station_deg)");
}

TEST_CASE("A table that cannot be read is refused by line", "[acquire][closed-form]") {
  CHECK(table_of("a,b\n1,2,3\n").error().where == "t.csv, line 2");
  CHECK(contains(table_of("a,b\n1,2,3\n").error().what, "3 cells, the header has 2"));
  CHECK(table_of("a,b\n1,2\n\"open,2\n3,4\n").error().where == "t.csv, line 3");
  CHECK(contains(table_of("a,b\n1,\"x\"y\n").error().what, "quote"));
  const auto t = table_of("a,b\n1,zwei\n");
  REQUIRE(t.has_value());
  CHECK(t.value().number(0, 1).error().where == "t.csv, line 2, column 2 (b)");
  CHECK(contains(t.value().number(0, 1).error().what, "'zwei' is not a number"));
}

TEST_CASE("A lone quote in a comment opens nothing", "[acquire][regression]") {
  // 2026-11-25: a comment such as "# 5\" drill" was taken as an open cell.
  const auto t = table_of("a,b\n# \"half\n1,2\n");
  REQUIRE(t.has_value());
  CHECK(t.value().rows().size() == 1);
}
