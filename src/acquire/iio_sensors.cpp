// SPDX-License-Identifier: Apache-2.0
#include "acquire/iio_sensors.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <optional>
#include <system_error>

#include "acquire/csv_line.h"
#include "acquire/decimal.h"
#include "acquire/descriptor.h"

namespace qn {
namespace {

namespace fs = std::filesystem;
constexpr std::array<const char*, 3> kAxes = {"x", "y", "z"};

/// A sysfs file: one short line. By one read(), as the kernel makes it whole for each.
std::optional<std::string> read_entry(const std::string& path) {
  const Descriptor file{::open(path.c_str(), O_RDONLY | O_CLOEXEC)};
  if (!file) return std::nullopt;
  std::array<char, 256> block{};
  const ssize_t count = ::read(file.get(), block.data(), block.size());
  if (count <= 0) return std::nullopt;
  std::string_view text{block.data(), static_cast<std::size_t>(count)};
  while (!text.empty() && (text.back() == '\n' || text.back() == ' ')) text.remove_suffix(1);
  return std::string{text};
}

/// The axis' own entry, or the one shared by all axes.
std::string number_entry(const std::string& folder, std::size_t axis, const char* what,
                         const char* otherwise) {
  for (const std::string& name : {fmt::format("{}/in_magn_{}_{}", folder, kAxes[axis], what),
                                  fmt::format("{}/in_magn_{}", folder, what)}) {
    const auto text = read_entry(name);
    if (text && parse_number(*text)) return *text;
  }
  return otherwise;
}

std::optional<unsigned> number_of(const std::string& id) {
  constexpr std::string_view kStart = "iio:device";
  if (id.rfind(kStart, 0) != 0) return std::nullopt;
  const auto number = parse_number(std::string_view{id}.substr(kStart.size()));
  if (!number || !(*number >= 0.0 && *number < 1e6)) return std::nullopt;
  return static_cast<unsigned>(*number);
}

std::optional<IioSensor> look_at(const fs::path& folder) {
  IioSensor sensor;
  sensor.folder = folder.string();
  sensor.id = folder.filename().string();
  std::error_code ignored;
  for (const char* axis : kAxes) {
    if (!fs::exists(folder / fmt::format("in_magn_{}_raw", axis), ignored)) return std::nullopt;
  }
  for (std::size_t axis = 0; axis < 3; ++axis) {
    sensor.scale[axis] = number_entry(sensor.folder, axis, "scale", "1");
    sensor.offset[axis] = number_entry(sensor.folder, axis, "offset", "0");
  }
  sensor.chip = read_entry(sensor.folder + "/name").value_or("");
  return sensor;
}

}  // namespace

std::vector<IioSensor> iio_sensors(const std::string& root) {
  std::vector<IioSensor> sensors;
  std::error_code failed;
  const fs::path devices = fs::path{root} / "sys/bus/iio/devices";
  for (fs::directory_iterator at{devices, failed}, end; !failed && at != end;
       at.increment(failed)) {
    if (!number_of(at->path().filename().string())) continue;
    if (auto sensor = look_at(at->path())) sensors.push_back(std::move(*sensor));
  }
  std::sort(sensors.begin(), sensors.end(), [](const IioSensor& a, const IioSensor& b) {
    return number_of(a.id) < number_of(b.id);
  });
  return sensors;
}

Result<IioSensor> iio_sensor(const std::string& root, const std::string& which) {
  const auto sensors = iio_sensors(root);
  std::string there;
  for (const IioSensor& sensor : sensors) {
    if (which.empty() || which == sensor.id || which == sensor.chip ||
        "iio:device" + which == sensor.id || "iio:" + which == sensor.id) {
      return sensor;
    }
    there += (there.empty() ? "" : ", ") + sensor.id + " (" + sensor.chip + ")";
  }
  return Error{ErrorKind::Io,
               sensors.empty() ? "this computer has no industrial-I/O magnetometer"
                               : fmt::format("there is no such sensor; there is {}", there),
               "iio:" + which, "a sensor below /sys/bus/iio/devices with in_magn_x_raw",
               "load the chip's driver (device tree overlay), or choose one of "
               "'quietnorth link list'"};
}

Result<std::string> read_iio_line(const IioSensor& sensor) {
  std::string line = "iio";
  for (const char* axis : kAxes) {
    const auto raw = read_entry(fmt::format("{}/in_magn_{}_raw", sensor.folder, axis));
    if (!raw) {
      return Error{ErrorKind::DeviceLost, fmt::format("in_magn_{}_raw cannot be read", axis),
                   sensor.id, "a sensor that answers",
                   "check the wires and the power of the sensor"};
    }
    line += "," + *raw;
  }
  for (const std::string& scale : sensor.scale) line += "," + scale;
  for (const std::string& offset : sensor.offset) line += "," + offset;
  return line + "\n";
}

}  // namespace qn
