// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "acquire/iio_sensors.h"
#include "acquire/serial_ports.h"

namespace qn {

/// What this computer has to listen to.
struct LinkList {
  std::vector<SerialPort> ports;
  std::vector<IioSensor> sensors;
};

/// root  "/"; another one in tests
LinkList list_links(const std::string& root);

/// Schema quietnorth/link-list/1 (docs/formats/link-json.md).
std::string to_json(const LinkList& list);

}  // namespace qn
