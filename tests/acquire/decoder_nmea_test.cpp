// SPDX-License-Identifier: Apache-2.0
#include "acquire/decoder_nmea.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "acquire/nmea_sentence.h"

using namespace qn;

namespace {

struct Decoded {
  std::vector<LinkReading> readings;
  DecoderTally tally;
};

Decoded decode(const std::string& text) {
  auto decoder = make_decoder({DecoderKind::nmea, "", {}});
  REQUIRE(decoder.has_value());
  Decoded out;
  decoder.value()->feed(text, out.readings);
  decoder.value()->end_of_piece(out.readings);
  out.tally = decoder.value()->tally();
  return out;
}

LinkReading one(const std::string& sentence) {
  const auto decoded = decode(sentence + "\r\n");
  INFO(sentence);
  REQUIRE(decoded.readings.size() == 1);
  return decoded.readings[0];
}

}  // namespace

// The sentences below are the ones commonly printed with descriptions of NMEA 0183; they and their
// checksums are from memory, and the checksums agree with the rule of the standard (exclusive or of
// the characters between '$' and '*').

TEST_CASE("commonly printed sentences carry the checksum that the rule gives",
          "[acquire][published]") {
  for (const std::string sentence :
       {"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A",
        "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
        "$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48", "$HCHDG,101.1,,,7.1,W*3C",
        "$GPRMC,081836,A,3751.65,S,14507.36,E,000.0,360.0,130998,011.3,E*62",
        "$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68", "$GPHDT,274.07,T*03",
        "$IIXDR,C,19.52,C,TempAir*19"}) {
    INFO(sentence);
    const auto parsed = nmea_sentence(sentence);
    REQUIRE(parsed.has_value());
    CHECK(parsed->checksum == NmeaChecksum::right);
  }
}

TEST_CASE("RMC gives time, place, speed, track and variation", "[acquire][published]") {
  const auto r = one("$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A");
  CHECK(r.source == "GPRMC");
  CHECK(r.utc_s == 764426119.0);  // 1994-03-23T12:35:19Z, by `date -u -d ... +%s`
  CHECK(r.latitude_deg == Approx(48.0 + 7.038 / 60.0).epsilon(1e-12));
  CHECK(r.longitude_deg == Approx(11.0 + 31.0 / 60.0).epsilon(1e-12));
  CHECK(r.groundspeed_kt == 22.4);
  CHECK(r.track_true_deg == 84.4);
  CHECK(r.variation_deg == -3.1);  // west is negative here
  const auto south = one("$GPRMC,081836,A,3751.65,S,14507.36,E,000.0,360.0,130998,011.3,E*62");
  CHECK(south.latitude_deg == Approx(-(37.0 + 51.65 / 60.0)).epsilon(1e-12));
  CHECK(south.variation_deg == 11.3);
}

TEST_CASE("RMC of a receiver without a fix says nothing", "[acquire][closed-form]") {
  const auto decoded = decode("$GPRMC,123519,V,,,,,,,230394,,\r\n");
  CHECK(decoded.readings.empty());
  CHECK(decoded.tally.quiet_lines == 1);
}

TEST_CASE("VTG and GGA give track and height", "[acquire][published]") {
  const auto vtg = one("$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48");
  CHECK(vtg.track_true_deg == 54.7);
  CHECK(vtg.track_magnetic_deg == 34.4);
  CHECK(vtg.groundspeed_kt == 5.5);
  const auto gga = one("$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47");
  CHECK(gga.height_m == 545.4);
  CHECK(gga.latitude_deg == Approx(48.1173).margin(5e-5));
}

TEST_CASE("HDG, HDM and HDT say which north they mean", "[acquire][published]") {
  const auto hdg = one("$HCHDG,101.1,,,7.1,W*3C");
  CHECK(hdg.heading_deg == 101.1);
  CHECK(hdg.heading_north == HeadingNorth::magnetic);
  CHECK(std::isnan(hdg.deviation_deg));
  CHECK(hdg.variation_deg == -7.1);
  CHECK(one("$HCHDM,238.5,M").heading_north == HeadingNorth::magnetic);
  const auto hdt = one("$GPHDT,274.07,T*03");
  CHECK(hdt.heading_deg == 274.07);
  CHECK(hdt.heading_north == HeadingNorth::true_north);
}

TEST_CASE("the talker does not matter, nor what stands before the sentence",
          "[acquire][closed-form]") {
  for (const char* sentence :
       {"$IIHDM,010.0,M", "$APHDM,010.0,M", "$PXYZHDM,010.0,M", "12.345 $HCHDM,010.0,M",
        "\\s:r3*17\\$HCHDM,010.0,M", "$HCHDM,0$HCHDM,010.0,M"}) {
    CHECK(one(sentence).heading_deg == 10.0);
  }
}

TEST_CASE("XDR gives attitude, temperature, current, and a field by our column names",
          "[acquire][closed-form]") {
  const auto r = one(
      "$IIXDR,A,-1.5,D,PTCH,A,2.25,D,ROLL,C,19.5,C,TempAir,I,3.5,A,BUS,G,20.5,,field_x_uT,G,-325,,"
      "field_y_mG,G,43,,field_z_uT");
  CHECK(r.pitch_deg == -1.5);
  CHECK(r.roll_deg == 2.25);
  CHECK(r.temperature_C == 19.5);
  CHECK(r.current_A == 3.5);
  REQUIRE(r.has_field());
  CHECK(r.field[0] == 20.5);
  CHECK(r.field[1] == Approx(-32.5).epsilon(1e-12));  // 10 mG are 1 uT
  CHECK(decode("$IIXDR,P,1.02481,B,Barometer*29\n").tally.quiet_lines == 1);
}

TEST_CASE("a wrong checksum throws the sentence away, a missing one is counted",
          "[acquire][closed-form]") {
  const auto decoded = decode("$HCHDM,238.5,M\n$HCHDG,101.1,,,7.1,W*3D\n$HCHDG,101.1,,,7.1,W*3\n");
  CHECK(decoded.readings.size() == 1);
  CHECK(decoded.tally.no_checksum == 1);
  CHECK(decoded.tally.bad_checksum == 2);
  REQUIRE(decoded.tally.first_bad_byte.has_value());
  CHECK(*decoded.tally.first_bad_byte == 15);
}

TEST_CASE("where checksums are usual, a sentence cut before its own is not believed",
          "[acquire][closed-form]") {
  const auto decoded = decode("$GPHDT,274.07,T*03\n$GPHDT,27\n");
  CHECK(decoded.readings.size() == 1);
  CHECK(decoded.tally.half_lines == 1);
}

TEST_CASE("fields that are empty, not numbers or out of range are no values",
          "[acquire][closed-form]") {
  for (const char* sentence : {"$HCHDM,,M", "$HCHDM,nan,M", "$HCHDM,361,M", "$HCHDM,-1,M",
                               "$HCHDM,1e9,M", "$GPRMC,996099,A,9999.99,N,,,,,320194,,"}) {
    INFO(sentence);
    CHECK(decode(std::string{sentence} + "\n").readings.empty());
  }
}
