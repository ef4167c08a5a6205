// SPDX-License-Identifier: Apache-2.0
#include "cli/command_earth.h"

#include <fmt/format.h>

#include <memory>
#include <string>

#include "app/earth_at.h"
#include "cli/folded_text.h"
#include "cli/place_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

struct EarthOptions {
  PlaceOptions place;
  bool json = false;
};

std::string row(std::string_view name, double value, std::string_view unit, double sigma,
                double per_year, int decimals) {
  return fmt::format("  {:<27}{:>11.{}f} {:<4}{:>12.{}f}{:>14.{}f}\n", name, value, decimals, unit,
                     sigma, decimals, per_year, decimals + 1);
}

std::string to_table(const EarthReport& report) {
  const FieldElements& v = report.field.value;
  const FieldElements& s = report.field.sigma;
  const FieldElements& r = report.field.per_year;
  const auto angle = [](const char* name, Angle value, Angle sigma, Angle rate) {
    return row(name, value.in_deg(), "deg", sigma.in_deg(), rate.in_deg(), 2);
  };
  const auto field = [](const char* name, double value, double sigma, double rate) {
    return row(name, value, "uT", sigma, rate, 3);
  };
  std::string text = fmt::format("Earth's magnetic field at {}, on {}\n\n",
                                 place_text(report.where.place), report.where.date.to_iso());
  text += fmt::format("  {:<27}{:>11}     {:>12}{:>14}\n", "", "value", "1 sigma", "a year");
  text += angle("declination, east positive", v.declination, s.declination, r.declination);
  text += angle("dip, down positive", v.dip, s.dip, r.dip);
  text += field("H  horizontal", v.horizontal_uT, s.horizontal_uT, r.horizontal_uT);
  text += field("F  total", v.total_uT, s.total_uT, r.total_uT);
  text += field("X  north", v.north_uT, s.north_uT, r.north_uT);
  text += field("Y  east", v.east_uT, s.east_uT, r.east_uT);
  text += field("Z  down", v.down_uT, s.down_uT, r.down_uT);
  text += "\n" +
          folded(fmt::format("Model {} (2025.0 to 2030.0, WGS 84). 1 sigma is the model's "
                             "own error for open country anywhere on Earth; iron, wiring "
                             "and buildings nearby come on top.",
                             kEarthModelName)) +
          "\n";
  for (const std::string& remark : remarks_on(report)) text += "\n" + folded(remark) + "\n";
  return text;
}

int run(const EarthOptions& options) {
  const auto report = earth_at(options.place.at, options.place.on);
  if (!report) return print_error(report.error());
  return print_answer(options.json ? to_json(report.value()) : to_table(report.value()));
}

}  // namespace

void add_earth_command(CLI::App& program, int& exit_code) {
  auto options = std::make_shared<EarthOptions>();
  CLI::App* command = program.add_subcommand(
      "earth", "the Earth's magnetic field at a place on a day, and how well it is known");
  add_place_options(*command, options->place);
  command->add_flag("--json", options->json, "print one JSON document");
  command->callback([options, &exit_code] { exit_code = run(*options); });
}

}  // namespace qn
