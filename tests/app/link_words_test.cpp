// SPDX-License-Identifier: Apache-2.0
#include <catch2/catch.hpp>
#include <string>

#include "app/link_report.h"

using namespace qn;
using Kind = LinkEvent::Kind;

namespace {

/// A link that heard these bytes, one piece each `step_s`.
class Heard {
 public:
  explicit Heard(DecoderOptions decoder = {}, bool port = false) {
    auto made = LinkReceiver::make(
        {1, port ? "/dev/ttyUSB0@9600" : "replay:x", std::move(decoder), false, port});
    REQUIRE(made.has_value());
    receiver_ = std::move(made).value();
    take({Kind::opened, 1, 0.0, ""});
  }
  void take(const LinkEvent& event) {
    std::vector<TimedReading> readings;
    receiver_->take(event, readings);
    now_s_ = std::max(now_s_, event.time_s);
  }
  void bytes(std::string text, double step_s = 0.1) {
    take({Kind::bytes, 1, now_s_ + step_s, std::move(text)});
  }
  std::string words(double later_s = 0.0,
                    const std::optional<LocalField>& earth = std::nullopt) const {
    std::string all;
    for (const auto& sentence : what_is_wrong(*receiver_, now_s_ + later_s, earth)) {
      all += sentence + "\n";
    }
    return all;
  }
  bool says(const char* part, const std::optional<LocalField>& earth = std::nullopt,
            double later_s = 0.0) const {
    const std::string all = words(later_s, earth);
    INFO(all);
    const bool found = all.find(part) != std::string::npos;
    CHECK(found);
    return found;
  }

 private:
  std::unique_ptr<LinkReceiver> receiver_;
  double now_s_ = 0.0;
};

const DecoderOptions kField{DecoderKind::lines, "field_x_uT,field_y_uT,field_z_uT", {}};
const DecoderOptions kTimed{DecoderKind::lines, "time_s,field_x_uT,field_y_uT,field_z_uT", {}};

std::string field_line(int i, double scale = 1.0) {
  return std::to_string(scale * (20.0 + 0.01 * ((i * 7) % 11))) + "," +
         std::to_string(scale * -3.0) + "," + std::to_string(scale * 43.0) + "\n";
}

std::optional<LocalField> earth() {
  LocalField field;
  field.horizontal_uT = 20.0;
  field.down_uT = 43.0;
  return field;
}

}  // namespace

TEST_CASE("a good link has nothing wrong", "[app][closed-form]") {
  Heard link{kField};
  for (int i = 0; i < 200; ++i) link.bytes(field_line(i));
  CHECK(link.words(0.0, earth()).empty());
}

TEST_CASE("a field in another unit is named, with and without the Earth's", "[app][closed-form]") {
  Heard link{kField};
  for (int i = 0; i < 50; ++i) link.bytes(field_line(i, 10.0));
  link.says("The values look like gauss x 1000 (milligauss)");
  link.says("The values look like gauss x 1000 (milligauss)", earth());
  Heard near{kField};  // 60 % too strong: no unit explains it, but a magnet does
  for (int i = 0; i < 50; ++i) near.bytes(field_line(i, 1.6));
  near.says("iron or a magnet is near", earth());
  CHECK(near.words().empty());  // somewhere on Earth it would be possible
}

TEST_CASE("a value that stands still is named with its time", "[app][closed-form]") {
  Heard link{kField};
  for (int i = 0; i <= 400; ++i) link.bytes("20,-3,43\n");
  link.says("The same value for 40 s");
}

TEST_CASE("silence is named, and what to look at", "[app][closed-form]") {
  Heard link{kField, true};
  link.says("Nothing has come for 5 s. Is the sensor powered", std::nullopt, 5.0);
  link.take({Kind::lost, 1, 1.0, ""});
  link.says("gone for 7 s", std::nullopt, 7.0);
}

TEST_CASE("noise, a wrong speed, no line ends", "[app][closed-form]") {
  Heard noise{{}, true};
  std::string garbage;
  for (int i = 0; i < 2000; ++i) garbage += static_cast<char>((i * 37 + 11) % 256);
  noise.bytes(garbage);
  noise.says("speaks at another speed");
  Heard garbled{{}, true};
  for (int i = 0; i < 50; ++i) garbled.bytes("x~ab#}{\n");
  garbled.says("speaks at another speed");
  Heard endless{kField};
  endless.bytes(std::string(1000000, '5'));
  endless.says("No line ends come");
}

TEST_CASE("checksums: missing, wrong", "[app][closed-form]") {
  Heard link;
  link.bytes("$HCHDM,238.5,M\n");
  link.says("No checksum in 1 sentences");
  link.bytes("$HCHDG,101.1,,,7.1,W*3D\n");
  link.says("1 of 2 lines came with a wrong checksum");
}

TEST_CASE("halves, NaN, unnamed numbers", "[app][closed-form]") {
  Heard link{kField};
  for (int i = 0; i < 50; ++i) link.bytes(i % 5 == 0 ? "20.1,-3\n" : field_line(i));
  link.says("10 of 50 lines were halves");
  link.bytes("nan,1,2\n");
  link.says("1 values were empty or NaN");
  Heard unnamed;
  unnamed.bytes("1.5,2.5,3.5\n");
  unnamed.says("nothing says what they are: '1.5,2.5,3.5'");
}

TEST_CASE("two sensors on one port", "[app][closed-form]") {
  Heard talkers;
  for (int i = 0; i < 10; ++i) talkers.bytes("$HCHDM,238.5,M\n$IIHDM,100.5,M\n");
  talkers.says("Two sensors speak on this link: HCHDM and IIHDM.");
  Heard widths{kField};
  for (int i = 0; i < 40; ++i) widths.bytes(i % 2 == 0 ? "20,-3,43\n" : "1,2,3,4,5\n");
  widths.says("lines of two lengths take turns");
  Heard turns{kField};
  for (int i = 0; i < 60; ++i) turns.bytes(field_line(i, i % 2 == 0 ? 1.0 : 1.1));
  turns.says("jump to and fro");
}

TEST_CASE("a clock that goes back, or counts in another unit", "[app][closed-form]") {
  Heard back{kTimed};
  for (int i = 0; i < 40; ++i) back.bytes(std::to_string(i % 20) + "," + field_line(i), 1.0);
  back.says("went back 1 times");
  Heard fast{kTimed};
  for (int i = 0; i < 40; ++i) fast.bytes(std::to_string(1000 * i) + "," + field_line(i), 1.0);
  fast.says("leaps ahead at every reading: is its time called by the wrong unit");
  Heard slow{kTimed};
  for (int i = 0; i < 40; ++i) slow.bytes(std::to_string(0.001 * i) + "," + field_line(i), 1.0);
  slow.says("runs 0.001 times as fast");
}

TEST_CASE("pauses and losses are counted", "[app][closed-form]") {
  Heard link{kField, true};
  for (int i = 0; i < 100; ++i) link.bytes(field_line(i), i == 60 ? 2.3 : 0.1);
  link.says("One pause in 'lines', of 2.3 s");
  link.take({Kind::lost, 1, 12.3, ""});
  link.take({Kind::opened, 1, 14.0, ""});
  link.says("The link was lost 1 times, and is back.");
}
