// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "vocab/result.h"

namespace qn {

/// One request for `quietnorth book sensor`, texts as the user gave them.
struct BookSensorRequest {
  std::string path, name;
  std::string unit = "uT";               ///< uT | raw
  std::optional<std::string> mount;      ///< x=-y,y=x,z=z
  std::optional<std::string> mount_deg;  ///< YAW,PITCH,ROLL
  std::string accel_reads;               ///< up | down, or empty
  std::string note;
};

/// errors  OutOfRange naming the option: what the other commands would refuse, too; those of a book
Result<Done> put_book_sensor(const BookSensorRequest& request);

/// One request for `quietnorth book site`.
struct BookSiteRequest {
  std::string path, name;
  std::optional<std::string> at;  ///< LAT,LON[,ALT_m]
  std::optional<double> horizontal_uT, vertical_uT;
  std::string note;
};

/// errors  likewise
Result<Done> put_book_site(const BookSiteRequest& request);

}  // namespace qn
