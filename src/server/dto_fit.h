// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/fit_sensor_log.h"
#include "vocab/result.h"

namespace qn {

struct WorkNews;

/// What a page sends to have a recording solved (api.yaml, FitRequest).
struct FitOrder {
  FitRequest request;                          ///< without log_path and stations_path
  std::string stations_csv;                    ///< empty: none
  std::string stations_name = "stations.csv";  ///< for messages
};

/// errors  BadInput naming the key: no JSON, an unknown key, a value of the wrong kind
Result<FitOrder> fit_order_from_json(const std::string& text);

/// api.yaml, FitNews: state, doing, fraction, and the error if there is one.
std::string news_json(const WorkNews& news);

/// api.yaml, Error.
std::string error_json(const Error& error);

}  // namespace qn
