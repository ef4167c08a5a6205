// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

using namespace qn;

namespace {

std::unique_ptr<Decoder> decoder_for(const DecoderOptions& options = {}) {
  auto made = make_decoder(options);
  if (!made) FAIL(to_text(made.error()));
  return std::move(made).value();
}

/// Everything that happened, as text, so that two ways can be compared.
std::string story(const std::vector<LinkReading>& readings, const DecoderTally& t) {
  std::string out;
  for (const LinkReading& r : readings) {
    out += r.source + " " + std::to_string(r.sensor_time_s) + " " + std::to_string(r.field[0]) +
           " " + std::to_string(r.heading_deg) + "\n";
  }
  for (const auto n : {t.bytes, t.noise_bytes, t.lines, t.readings, t.quiet_lines, t.half_lines,
                       t.bad_checksum, t.no_checksum, t.unnamed_lines, t.not_understood, t.too_long,
                       t.missing_cells, t.impossible_cells, t.first_bad_byte.value_or(0)}) {
    out += std::to_string(n) + " ";
  }
  return out + t.bad_example;
}

std::string story_in_pieces(const std::string& bytes, std::size_t piece) {
  auto decoder = decoder_for();
  std::vector<LinkReading> readings;
  for (std::size_t at = 0; at < bytes.size(); at += piece) {
    decoder->feed(std::string_view{bytes}.substr(at, piece), readings);
  }
  decoder->end_of_piece(readings);
  return story(readings, decoder->tally());
}

/// A generator of our own, so that the bytes are the same on every machine.
std::uint64_t next_random(std::uint64_t& state) {
  state = state * 6364136223846793005u + 1442695040888963407u;
  return state >> 33;
}

std::string mixed_stream() {
  return "time_s,field_x_uT,field_y_uT,field_z_uT\r\n0.0,20.1,-3.2,43\r\n$HCHDG,101.1,,,7.1,W*"
         "3C\r\n"
         "0.1,20.2,nan,43\r\rnonsense here\n0.2,20.3\n\n1,2,3,4,5\n$HCHDM,200.0,M\n"
         "iio,10,20,30,0.01,0.01,0.01,0,0,0\n\x01\x02\xff\xfe\n$GPHDT,274.07,T*04\n0.3,20.4,-3.1,"
         "42";
}

}  // namespace

TEST_CASE("bytes one by one give the same as all at once", "[acquire][synthetic]") {
  const std::string bytes = mixed_stream() + "\n" + std::string(10000, 'x') + "\n0.4,1,2,3\n";
  const std::string whole = story_in_pieces(bytes, bytes.size());
  CHECK(whole.find("HCHDG") != std::string::npos);
  for (const std::size_t piece : {1u, 2u, 3u, 7u, 64u, 4097u}) {
    INFO(piece);
    CHECK(story_in_pieces(bytes, piece) == whole);
  }
}

TEST_CASE("every whole line is counted once, whatever comes", "[acquire][synthetic]") {
  std::uint64_t seed = 20260514;
  for (int round = 0; round < 200; ++round) {
    std::string bytes = mixed_stream();
    for (int hit = 0; hit < 20; ++hit) {
      bytes[next_random(seed) % bytes.size()] = static_cast<char>(next_random(seed) % 256);
    }
    auto decoder = decoder_for();
    std::vector<LinkReading> readings;
    decoder->feed(bytes, readings);
    const DecoderTally& t = decoder->tally();
    CHECK(t.lines == t.readings + t.quiet_lines + t.half_lines + t.bad_checksum + t.unnamed_lines +
                         t.not_understood);
    CHECK(t.readings == readings.size());
    CHECK(t.bytes == bytes.size());
  }
}

TEST_CASE("a line of a megabyte costs no memory and does not hide the next",
          "[acquire][closed-form]") {
  auto decoder = decoder_for({DecoderKind::lines, "heading_deg", {}});
  std::vector<LinkReading> readings;
  decoder->feed("12\n", readings);
  for (int i = 0; i < 1000; ++i) {
    decoder->feed(std::string(1000, '7'), readings);
    CHECK(decoder->unfinished_bytes() <= kLongestLiveLine);
  }
  decoder->feed("\n34\n", readings);
  REQUIRE(readings.size() == 2);
  CHECK(readings[1].heading_deg == 34.0);
  CHECK(decoder->tally().too_long == 1);
}

TEST_CASE("columns are named by a header line, by position, or by --map",
          "[acquire][closed-form]") {
  SECTION("a header line, again after a restart") {
    auto decoder = decoder_for();
    std::vector<LinkReading> readings;
    decoder->feed(
        "time_ms;field_x_nT;field_y_nT;field_z_nT\n1000;20000,5;-3000;43000\n"
        "time_ms;heading_deg\n2000;12,5\n",
        readings);
    REQUIRE(readings.size() == 2);
    CHECK(readings[0].sensor_time_s == 1.0);
    CHECK(readings[0].field[0] == Approx(20.0005).epsilon(1e-12));
    CHECK(readings[1].heading_deg == 12.5);
    CHECK_FALSE(readings[1].has_field());
  }
  SECTION("by position, blanks between, one column left out") {
    auto decoder =
        decoder_for({DecoderKind::lines, "time_ms,-,field_x_raw,field_y_raw,field_z_raw", {}});
    std::vector<LinkReading> readings;
    decoder->feed("1500   9  100\t", readings);
    decoder->feed("\n1500 9  100 -200 300 \n", readings);
    REQUIRE(readings.size() == 1);
    CHECK(readings[0].field[1] == -200.0);
    CHECK(readings[0].field_unit == FieldUnit::counts);
    CHECK(decoder->tally().half_lines == 1);
  }
  SECTION("by --map") {
    auto decoder = decoder_for({DecoderKind::lines, "", {"heading_deg=Kurs"}});
    std::vector<LinkReading> readings;
    decoder->feed("Zeit,Kurs\n1,77\n", readings);
    REQUIRE(readings.size() == 1);
    CHECK(readings[0].heading_deg == 77.0);
  }
  SECTION("numbers that nobody named are kept apart, with an example") {
    auto decoder = decoder_for();
    std::vector<LinkReading> readings;
    decoder->feed("1,2,3\n", readings);
    CHECK(readings.empty());
    CHECK(decoder->tally().unnamed_lines == 1);
    CHECK(decoder->tally().unnamed_example == "'1,2,3'");
  }
}

TEST_CASE("wrong names for columns are refused with the option", "[acquire][closed-form]") {
  for (const char* columns :
       {"time_s,compass", "time_s", "field_x_uT,field_y_uT", "field_x,field_y"}) {
    INFO(columns);
    const auto made = make_decoder({DecoderKind::lines, columns, {}});
    REQUIRE_FALSE(made.has_value());
    CHECK(made.error().kind == ErrorKind::OutOfRange);
    CHECK(made.error().where.find("--columns") != std::string::npos);
  }
  const auto made = make_decoder({DecoderKind::lines, "", {"heading_deg"}});
  REQUIRE_FALSE(made.has_value());
  CHECK(made.error().kind == ErrorKind::OutOfRange);
}

TEST_CASE("empty, NaN and impossible cells are left out and counted", "[acquire][closed-form]") {
  auto decoder =
      decoder_for({DecoderKind::lines, "time_s,field_x_uT,field_y_uT,field_z_uT,heading_deg", {}});
  std::vector<LinkReading> readings;
  decoder->feed("1,2,NaN,4,5\n2,2,,4,6\n3,1e12,3,4,7\n4,inf,3,4,8\n", readings);
  REQUIRE(readings.size() == 4);
  for (const LinkReading& r : readings) CHECK_FALSE(r.has_field());
  CHECK(decoder->tally().missing_cells == 2);
  CHECK(decoder->tally().impossible_cells == 2);
}

TEST_CASE("joined midway, only a line with a checksum is believed at once",
          "[acquire][closed-form]") {
  auto decoder = decoder_for({DecoderKind::automatic, "heading_deg", {}});
  std::vector<LinkReading> readings;
  decoder->joined_midway();
  decoder->feed("3\n123\n", readings);  // the end of 223, perhaps
  REQUIRE(readings.size() == 1);
  CHECK(readings[0].heading_deg == 123.0);
  decoder->feed("12", readings);
  decoder->joined_midway();
  decoder->feed("$GPHDT,274.07,T*03\n", readings);
  REQUIRE(readings.size() == 2);
  CHECK(readings[1].heading_deg == 274.07);
  CHECK(decoder->tally().cut_short == 1);
  CHECK(decoder->tally().half_lines == 1);
}

TEST_CASE("an industrial-I/O line is counts, scaled by the kernel's rule to microtesla",
          "[acquire][published]") {
  // The kernel's sysfs ABI (from memory): (raw + offset) * scale is in gauss. 1 G = 100 uT.
  auto decoder = decoder_for();
  std::vector<LinkReading> readings;
  decoder->feed("iio,1000,-500,2000,0.000146,0.000146,0.000146,100,0,-1000\n", readings);
  REQUIRE(readings.size() == 1);
  CHECK(readings[0].field[0] == Approx(1100 * 0.0146).epsilon(1e-12));
  CHECK(readings[0].field[1] == Approx(-500 * 0.0146).epsilon(1e-12));
  CHECK(readings[0].field[2] == Approx(1000 * 0.0146).epsilon(1e-12));
  decoder->feed("iio,1,2\niio,1,2,x,1,1,1,0,0,0\n", readings);
  CHECK(readings.size() == 1);
  CHECK(decoder->tally().half_lines == 2);
}

TEST_CASE("a person types a heading, perhaps with the instrument's name",
          "[acquire][closed-form]") {
  auto decoder = decoder_for({DecoderKind::typed, "", {}});
  std::vector<LinkReading> readings;
  decoder->feed("123\n standby compass  095,5 \n360\nabc\n361\n-4\n\n# note\n", readings);
  REQUIRE(readings.size() == 3);
  CHECK(readings[0].source == "typed");
  CHECK(readings[1].source == "standby compass");
  CHECK(readings[1].heading_deg == 95.5);
  CHECK(readings[2].heading_deg == 0.0);
  CHECK(decoder->tally().not_understood == 3);
}
