// SPDX-License-Identifier: Apache-2.0
#include "app/book_entries.h"

#include "app/fit_options.h"
#include "app/place.h"
#include "store/book.h"

namespace qn {
namespace {

std::optional<Error> unnamed(const std::string& name) {
  if (name.find_first_not_of(" \t") != std::string::npos) return std::nullopt;
  return Error{ErrorKind::OutOfRange, "no name is given", "NAME", "a name that you will know it by",
               "for example \"left wing\""};
}

/// Judged by the parser of the commands that will use it, in the same words.
std::optional<Error> wrong_mounting(const BookSensorRequest& request) {
  FitRequest like;
  like.horizontal_uT = 20.0;  // any field will do: it is not looked at
  like.vertical_uT = 45.0;
  like.mount = request.mount;
  like.mount_deg = request.mount_deg;
  if (!request.accel_reads.empty()) like.accel_reads = request.accel_reads;
  const auto parsed = parse_fit_options(like);
  if (!parsed) return parsed.error();
  if (request.unit == "uT" || request.unit == "raw") return std::nullopt;
  return Error{ErrorKind::OutOfRange, "'" + request.unit + "' is no unit of a sensor's log",
               "option --unit", "uT, or raw for counts", "for example --unit raw"};
}

template <class Record, class Put>
Result<Done> put_into(const std::string& path, const Record& record, const Put& put) {
  auto book = Book::open(path);
  if (!book) return book.error();
  const auto id = (book.value().*put)(record);
  if (!id) return id.error();
  return Done{};
}

}  // namespace

Result<Done> put_book_sensor(const BookSensorRequest& request) {
  if (auto bad = unnamed(request.name)) return *bad;
  if (auto bad = wrong_mounting(request)) return *bad;
  SensorRecord sensor;
  sensor.name = request.name;
  sensor.unit = request.unit;
  sensor.mounting = request.mount.value_or(request.mount_deg.value_or(""));
  sensor.accel_reads = request.accel_reads;
  sensor.note = request.note;
  return put_into(request.path, sensor, &Book::put_sensor);
}

Result<Done> put_book_site(const BookSiteRequest& request) {
  if (auto bad = unnamed(request.name)) return *bad;
  SiteRecord site;
  site.name = request.name;
  site.note = request.note;
  if (request.at) {
    const auto place = parse_place(*request.at);
    if (!place) return place.error();
    site.latitude_deg = place.value().latitude.in_deg();
    site.longitude_deg = place.value().longitude.in_deg();
    site.altitude_m = place.value().height.in_m();
  }
  if (request.horizontal_uT || request.vertical_uT) {
    const auto field = local_field_from({}, {}, request.horizontal_uT, request.vertical_uT);
    if (!field) return field.error();
    site.horizontal_uT = request.horizontal_uT;
    site.vertical_uT = request.vertical_uT;
  }
  return put_into(request.path, site, &Book::put_site);
}

}  // namespace qn
