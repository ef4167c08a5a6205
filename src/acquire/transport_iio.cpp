// SPDX-License-Identifier: Apache-2.0
#include "acquire/transport_iio.h"

#include <algorithm>
#include <utility>

#include "acquire/iio_sensors.h"

namespace qn {
namespace {

class IioTransport : public Transport {
 public:
  IioTransport(std::string name, std::string root, std::string which, double rate_Hz)
      : name_{std::move(name)},
        root_{std::move(root)},
        which_{std::move(which)},
        interval_s_{1.0 / rate_Hz} {}

  const std::string& name() const override { return name_; }
  int descriptor() const override { return -1; }
  bool pieces_are_whole() const override { return true; }
  double due_s() const override { return due_s_; }

  Result<Done> open(double now_s) override {
    due_s_ = now_s;
    return find();
  }

  void serve(double now_s, std::vector<LinkEvent>& events) override {
    if (now_s < due_s_) return;
    if (lost_ && !find()) {
      due_s_ = now_s + kRetry_s;
      return;
    }
    if (std::exchange(lost_, false)) events.push_back({LinkEvent::Kind::opened, 0, now_s, ""});
    auto line = read_iio_line(sensor_);
    if (!line) {
      lost_ = true;
      due_s_ = now_s + kRetry_s;
      events.push_back({LinkEvent::Kind::lost, 0, now_s, line.error().what});
      return;
    }
    events.push_back({LinkEvent::Kind::bytes, 0, now_s, std::move(line).value()});
    // An even beat; after a pause of the computer it goes on from now, without a burst.
    due_s_ = std::max(due_s_ + interval_s_, now_s);
  }

 private:
  static constexpr double kRetry_s = 0.5;

  Result<Done> find() {
    auto found = iio_sensor(root_, which_);
    if (!found) return found.error();
    sensor_ = std::move(found).value();
    return Done{};
  }

  std::string name_, root_, which_;
  double interval_s_;
  double due_s_ = 0.0;
  bool lost_ = true;
  IioSensor sensor_;
};

}  // namespace

std::unique_ptr<Transport> iio_transport(std::string name, std::string root, std::string which,
                                         double rate_Hz) {
  return std::make_unique<IioTransport>(std::move(name), std::move(root), std::move(which),
                                        rate_Hz);
}

}  // namespace qn
