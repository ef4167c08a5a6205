// SPDX-License-Identifier: Apache-2.0
#include "app/list_links.h"

#include <nlohmann/json.hpp>

namespace qn {

LinkList list_links(const std::string& root) { return {serial_ports(root), iio_sensors(root)}; }

std::string to_json(const LinkList& list) {
  using Json = nlohmann::ordered_json;
  Json ports = Json::array();
  for (const SerialPort& port : list.ports) {
    ports.push_back(Json{{"link", port.path},
                         {"device", port.device},
                         {"driver", port.driver},
                         {"readable", port.readable},
                         {"group", port.group}});
  }
  Json sensors = Json::array();
  for (const IioSensor& sensor : list.sensors) {
    sensors.push_back(Json{{"link", "iio:" + sensor.id},
                           {"chip", sensor.chip},
                           {"scale_gauss", sensor.scale},
                           {"offset_counts", sensor.offset}});
  }
  const Json document{{"schema", "quietnorth/link-list/1"}, {"ports", ports}, {"sensors", sensors}};
  // Names come from devices: what is no UTF-8 is replaced, so that there is always a document.
  return document.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace qn
