// SPDX-License-Identifier: Apache-2.0
#include "app/fit_options.h"

#include <fmt/core.h>

#include <charconv>
#include <cmath>
#include <string_view>

#include "app/place.h"
#include "procedure/mounting.h"

namespace qn {
namespace {

Error bad_option(std::string_view option, std::string_view text, std::string expected,
                 std::string remedy) {
  return Error{ErrorKind::OutOfRange, fmt::format("'{}' cannot be used for {}", text, option),
               fmt::format("option {}", option), std::move(expected), std::move(remedy)};
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

std::vector<std::string_view> split(std::string_view text) {
  std::vector<std::string_view> out;
  while (true) {
    const std::size_t comma = text.find(',');
    out.push_back(trimmed(text.substr(0, comma)));
    if (comma == std::string_view::npos) return out;
    text.remove_prefix(comma + 1);
  }
}

// All parts as finite numbers, or nothing.
std::optional<std::vector<double>> numbers(std::string_view text) {
  std::vector<double> out;
  for (std::string_view part : split(text)) {
    if (part.starts_with('+')) part.remove_prefix(1);
    double value = 0.0;
    const auto [end, ec] = std::from_chars(part.data(), part.data() + part.size(), value);
    if (ec != std::errc{} || end != part.data() + part.size() || !std::isfinite(value)) {
      return std::nullopt;
    }
    out.push_back(value);
  }
  return out;
}

Result<Motion> parse_motion(const std::string& text) {
  if (text == "auto") return Motion::automatic;
  if (text == "tumble") return Motion::tumble;
  if (text == "swing") return Motion::swing;
  if (text == "stations") return Motion::stations;
  return bad_option("--motion", text, "tumble, swing, stations or auto",
                    "leave the option out: the program decides from the recording");
}

std::optional<SignedAxis> parse_axis(std::string_view text) {
  SignedAxis out;
  if (text.starts_with('-')) out.sign = -1;
  if (text.starts_with('-') || text.starts_with('+')) text.remove_prefix(1);
  if (text.size() != 1 || text[0] < 'x' || text[0] > 'z') return std::nullopt;
  out.axis = static_cast<std::size_t>(text[0] - 'x');
  return out;
}

Result<Rotation<Body, Sensor>> parse_mount(const std::string& text) {
  const auto refuse = [&](std::string expected) {
    return bad_option("--mount", text, std::move(expected),
                      "write which sensor axis points forward (x), right (y) and down (z), for "
                      "example --mount \"x=-y,y=x,z=z\"");
  };
  std::array<SignedAxis, 3> axes{};
  std::array<bool, 3> given{};
  for (const std::string_view part : split(text)) {
    const auto axis =
        part.size() >= 3 && part[1] == '=' ? parse_axis(part.substr(2)) : std::nullopt;
    if (!axis || part[0] < 'x' || part[0] > 'z') {
      return refuse("three parts such as x=-y, for x, y and z");
    }
    const auto body = static_cast<std::size_t>(part[0] - 'x');
    axes[body] = *axis;
    given[body] = true;
  }
  if (!given[0] || !given[1] || !given[2]) return refuse("a part for each of x, y and z");
  const auto mounting = mounting_from_axes(axes);
  if (!mounting) {
    return refuse(
        "right-handed axes, each sensor axis once: a mounting can turn axes, not mirror "
        "them");
  }
  return *mounting;
}

Result<Rotation<Body, Sensor>> parse_mount_deg(const std::string& text) {
  const auto n = numbers(text);
  if (!n || n->size() != 3) {
    return bad_option(
        "--mount-deg", text, "three angles in degrees: YAW,PITCH,ROLL",
        "give how the sensor is turned in the airframe, for example --mount-deg 90,0,0");
  }
  return mounting_from_angles(Angle::degrees((*n)[0]), Angle::degrees((*n)[1]),
                              Angle::degrees((*n)[2]));
}

constexpr double kLeastSigma_deg = 0.01;  // nothing is known better than this; never zero

Result<TiltAssumption> parse_slope(const std::optional<std::string>& text) {
  TiltAssumption slope;
  slope.sigma = Angle::degrees(0.5);
  if (!text) return slope;
  const auto n = numbers(*text);
  if (!n || n->size() > 2 || (*n)[0] < 0.0 || (*n)[0] > 20.0 ||
      (n->size() == 2 && ((*n)[1] < 0.0 || (*n)[1] > 20.0))) {
    return bad_option("--slope-deg", *text,
                      "STEEPNESS[,SIGMA] in degrees, each 0 to 20: how steep the ground is, in a "
                      "direction not known, and how well that is known",
                      "measure the ground with a level, for example --slope-deg 0.3,0.1");
  }
  // A slope of known steepness and unknown direction has half its square along each axis.
  const double sigma = n->size() == 2 ? (*n)[1] : 0.1;
  slope.sigma =
      Angle::degrees(std::max(kLeastSigma_deg, std::sqrt(0.5 * (*n)[0] * (*n)[0] + sigma * sigma)));
  slope.given = true;
  return slope;
}

Result<TiltAssumption> parse_deck(const std::optional<std::string>& text) {
  TiltAssumption deck;
  deck.sigma = Angle::degrees(0.5);
  if (!text) return deck;
  const auto n = numbers(*text);
  const bool good = n && (n->size() == 2 || n->size() == 3) && std::abs((*n)[0]) <= 30.0 &&
                    std::abs((*n)[1]) <= 30.0 &&
                    (n->size() == 2 || ((*n)[2] >= 0.0 && (*n)[2] <= 20.0));
  if (!good) {
    return bad_option(
        "--deck-deg", *text,
        "ROLL,PITCH[,SIGMA] in degrees: how the aircraft sits on level ground against "
        "level flight (roll right, pitch nose up)",
        "measure it with a level on the levelling points, for example --deck-deg "
        "0,2.5,0.2");
  }
  deck.first = Angle::degrees((*n)[0]);
  deck.second = Angle::degrees((*n)[1]);
  deck.sigma = Angle::degrees(std::max(kLeastSigma_deg, n->size() == 3 ? (*n)[2] : 0.2));
  deck.given = true;
  return deck;
}

Result<std::vector<KnownHeading>> parse_known(const std::vector<std::string>& texts) {
  std::vector<KnownHeading> out;
  for (const std::string& text : texts) {
    const auto n = numbers(text);
    if (!n || n->size() != 2 || (*n)[1] < 0.0 || (*n)[1] >= 360.0) {
      return bad_option("--known-heading", text,
                        "T_s,HEADING: seconds from the start of the recording, and the magnetic "
                        "heading from 0 to below 360",
                        "for example --known-heading 42.5,090");
    }
    out.push_back({(*n)[0], (*n)[1]});
  }
  return out;
}

Result<Angle> parse_sigma(std::string_view option, std::optional<double> deg, double usual) {
  if (!deg) return Angle::degrees(usual);
  if (!(*deg > 0.0) || *deg > 30.0) {
    return bad_option(
        option, fmt::format("{:g}", *deg), "an angle above 0 and up to 30 degrees",
        "give one standard deviation: the true value is within it two times in three");
  }
  return Angle::degrees(*deg);
}

Result<Limit> parse_limit(const FitRequest& request) {
  Limit limit{Angle::degrees(1.0), std::string{kStartingLimitBasis}};
  if (request.limit_deg) {
    if (!(*request.limit_deg > 0.0) || *request.limit_deg > 180.0) {
      return bad_option("--limit-deg", fmt::format("{:g}", *request.limit_deg),
                        "an angle above 0 and up to 180 degrees",
                        "give the largest heading error you accept, in degrees");
    }
    limit = {Angle::degrees(*request.limit_deg), "your own limit"};
  }
  if (request.limit_basis && !request.limit_basis->empty()) limit.basis = *request.limit_basis;
  return limit;
}

}  // namespace

Result<SensorFitOptions> parse_fit_options(const FitRequest& request) {
  SensorFitOptions options;
  auto earth = local_field_from(request.at, request.on, request.horizontal_uT, request.vertical_uT);
  if (!earth) return earth.error();
  options.earth = earth.value();
  if (request.motion) {
    auto motion = parse_motion(*request.motion);
    if (!motion) return motion.error();
    options.motion = motion.value();
  }
  if (request.mount && request.mount_deg) {
    return bad_option("--mount-deg", *request.mount_deg, "either --mount or --mount-deg",
                      "give the one that fits, not both");
  }
  if (request.mount || request.mount_deg) {
    auto mounting =
        request.mount ? parse_mount(*request.mount) : parse_mount_deg(*request.mount_deg);
    if (!mounting) return mounting.error();
    options.mounting = mounting.value();
    options.mounting_given = true;
  }
  auto slope = parse_slope(request.slope_deg);
  if (!slope) return slope.error();
  options.ground_slope = slope.value();
  auto deck = parse_deck(request.deck_deg);
  if (!deck) return deck.error();
  options.deck_tilt = deck.value();
  if (request.accel_reads) {
    if (*request.accel_reads != "up" && *request.accel_reads != "down") {
      return bad_option("--accel-reads", *request.accel_reads,
                        "up (z reads -1 g level and at rest) or down (z reads +1 g)",
                        "look at the accelerometer's z column while the aircraft stands level");
    }
    options.accelerometer_reads_down = *request.accel_reads == "down";
  }
  auto known = parse_known(request.known_headings);
  if (!known) return known.error();
  options.known_headings = known.value();
  auto station = parse_sigma("--station-sigma-deg", request.station_sigma_deg, 0.5);
  if (!station) return station.error();
  options.station_sigma = station.value();
  auto north = parse_sigma("--north-sigma-deg", request.north_sigma_deg, 0.3);
  if (!north) return north.error();
  options.north_sigma = north.value();
  auto limit = parse_limit(request);
  if (!limit) return limit.error();
  options.limit = limit.value();
  if (options.motion == Motion::stations && !request.stations_path) {
    return bad_option("--motion", "stations", "a stations file with --motion stations",
                      "give the headings the aircraft stood on with --stations FILE");
  }
  return options;
}

}  // namespace qn
