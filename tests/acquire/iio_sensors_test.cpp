// SPDX-License-Identifier: Apache-2.0
#include "acquire/iio_sensors.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <string>

#include "acquire/decoder.h"
#include "acquire/link_pump.h"
#include "acquire/serial_ports.h"
#include "acquire/transport_iio.h"
#include "support/temporary_folder.h"

using namespace qn;
namespace fs = std::filesystem;

namespace {

/// A made-up tree of sysfs.
class Tree {
 public:
  std::string root() const { return folder_.path(""); }
  void put(const std::string& path, const std::string& text) const {
    const fs::path whole = fs::path{folder_.path(path)};
    fs::create_directories(whole.parent_path());
    std::ofstream{whole} << text;
  }
  void device(const std::string& number, const std::string& chip,
              const std::string& scale_name) const {
    const std::string at = "sys/bus/iio/devices/iio:device" + number + "/";
    put(at + "name", chip + "\n");
    put(at + "in_magn_x_raw", "1000\n");
    put(at + "in_magn_y_raw", "-500\n");
    put(at + "in_magn_z_raw", "2000\n");
    for (const char* axis : {"x", "y", "z"}) {
      if (scale_name == "each") put(at + "in_magn_" + axis + "_scale", "0.000146\n");
    }
    if (scale_name == "shared") put(at + "in_magn_scale", "0.000146\n");
  }

 private:
  test::TemporaryFolder folder_;
};

}  // namespace

// Names of files: the kernel's documents of the sysfs ABI for industrial I/O (from memory).

TEST_CASE("magnetometers are found among other devices, in the order of their numbers",
          "[acquire][closed-form]") {
  const Tree tree;
  tree.device("10", "late", "each");
  tree.device("2", "early", "shared");
  tree.put("sys/bus/iio/devices/iio:device0/in_accel_x_raw", "1\n");
  tree.put("sys/bus/iio/devices/trigger0/in_magn_x_raw", "1\n");
  const auto sensors = iio_sensors(tree.root());
  REQUIRE(sensors.size() == 2);
  CHECK(sensors[0].chip == "early");
  CHECK(sensors[0].scale[2] == "0.000146");
  CHECK(sensors[0].offset[0] == "0");
  CHECK(sensors[1].id == "iio:device10");
  for (const char* name : {"late", "10", "iio:device10", "device10"}) {
    CHECK(iio_sensor(tree.root(), name).value().chip == "late");
  }
  const auto none = iio_sensor(tree.root(), "other");
  REQUIRE_FALSE(none.has_value());
  CHECK(none.error().what.find("early") != std::string::npos);
  CHECK_FALSE(iio_sensor(tree.root() + "nowhere", "").has_value());
}

TEST_CASE("gauss of the kernel become microtesla", "[acquire][published]") {
  // (raw + offset) * scale is in gauss (kernel ABI, from memory); 1 G = 100 uT.
  const Tree tree;
  tree.device("0", "chip", "each");
  tree.put("sys/bus/iio/devices/iio:device0/in_magn_x_offset", "100\n");
  const auto line = read_iio_line(iio_sensor(tree.root(), "").value());
  REQUIRE(line.has_value());
  auto decoder = make_decoder({});
  std::vector<LinkReading> readings;
  decoder.value()->feed(line.value(), readings);
  REQUIRE(readings.size() == 1);
  CHECK(readings[0].field[0] == Approx(16.06).epsilon(1e-12));
  CHECK(readings[0].field[1] == Approx(-7.3).epsilon(1e-12));
  CHECK(readings[0].field[2] == Approx(29.2).epsilon(1e-12));
}

TEST_CASE("a sensor is read at its rate, lost when it does not answer, and found again",
          "[acquire][synthetic]") {
  const Tree tree;
  tree.device("0", "chip", "shared");
  test::LinkPump pump;
  pump.add(iio_transport("iio", tree.root(), "", 100.0));
  REQUIRE(pump.until([&] { return pump.count(LinkEvent::Kind::bytes) >= 20; }));
  const double span = pump.events.back().time_s - pump.events.front().time_s;
  CHECK(span >= 0.18);  // 20 readings at 100 Hz; a busy machine may be slower
  tree.put("sys/bus/iio/devices/iio:device0/in_magn_y_raw", "");
  REQUIRE(pump.until([&] { return pump.count(LinkEvent::Kind::lost) == 1; }));
  tree.put("sys/bus/iio/devices/iio:device0/in_magn_y_raw", "5\n");
  REQUIRE(pump.until([&] { return pump.count(LinkEvent::Kind::opened) == 2; }));
}

TEST_CASE("serial ports are listed by id first, sockets without a chip are not",
          "[acquire][closed-form]") {
  const Tree tree;
  for (const char* name : {"ttyUSB0", "ttyUSB1", "ttyS0", "ttyS1"}) {
    tree.put(std::string{"sys/class/tty/"} + name + "/device/x", "");
    tree.put(std::string{"dev/"} + name, "");
  }
  tree.put("sys/class/tty/tty1/dev", "");  // a console
  fs::create_symlink("/sys/bus/usb-serial/drivers/usb_driver",
                     tree.root() + "sys/class/tty/ttyUSB1/device/driver");
  fs::create_symlink("/sys/bus/platform/drivers/serial8250",
                     tree.root() + "sys/class/tty/ttyS1/device/driver");
  fs::create_directories(tree.root() + "dev/serial/by-id");
  fs::create_symlink("../../ttyUSB1", tree.root() + "dev/serial/by-id/usb-Sensor_7-if00");
  const auto ports = serial_ports(tree.root());
  REQUIRE(ports.size() == 3);
  CHECK(ports[0].path == "/dev/serial/by-id/usb-Sensor_7-if00");
  CHECK(ports[0].device == "/dev/ttyUSB1");
  CHECK(ports[0].driver == "usb_driver");
  CHECK(ports[1].path == "/dev/ttyS0");
  CHECK(ports[2].path == "/dev/ttyUSB0");
}
