// SPDX-License-Identifier: Apache-2.0
#include "cli/command_book_contents.h"

#include <fmt/format.h>

#include <memory>
#include <optional>
#include <string>

#include "app/book_entries.h"
#include "app/codec_equipment.h"
#include "app/show_book.h"
#include "cli/book_text.h"
#include "cli/place_options.h"
#include "cli/terminal.h"

namespace qn {
namespace {

void add_new(CLI::App& book, int& exit_code) {
  auto request = std::make_shared<NewBookRequest>();
  CLI::App* command = book.add_subcommand("new", "makes the book of an aircraft");
  command->add_option("BOOK", request->path, "the file to make: NAME.qnbook")->required();
  command->add_option("--aircraft", request->aircraft, "its name or registration")->required();
  command->add_option("--equipment", request->equipment_path, "the equipment list, CSV");
  command->add_option("--note", request->note, "anything worth knowing about it");
  command->callback([request, &exit_code] {
    const auto made = make_book(*request);
    exit_code =
        made
            ? print_answer(fmt::format("{} is the book of {}.\n", request->path, request->aircraft))
            : print_error(made.error());
  });
}

struct ShowOptions {
  std::string path;
  bool json = false;
};

int show(const ShowOptions& options) {
  const auto book = show_book(options.path);
  if (!book) return print_error(book.error());
  return print_answer(options.json ? to_json(book.value()) + "\n" : book_text(book.value()));
}

void add_show(CLI::App& book, int& exit_code) {
  auto options = std::make_shared<ShowOptions>();
  CLI::App* command = book.add_subcommand("show", "what the book holds");
  command->add_option("BOOK", options->path, "the aircraft book")->required();
  command->add_flag("--json", options->json, "print one JSON document");
  command->callback([options, &exit_code] { exit_code = show(*options); });
}

struct EquipmentOptions {
  std::string path;
  std::optional<std::string> list;
};

int equipment(const EquipmentOptions& options) {
  if (options.list) {
    const auto set = set_book_equipment(options.path, *options.list);
    if (!set) return print_error(set.error());
    return print_answer(fmt::format("{} devices are in the book now.\n", set.value().size()));
  }
  const auto book = show_book(options.path);
  if (!book) return print_error(book.error());
  return print_answer(equipment_csv(book.value().equipment));
}

void add_equipment(CLI::App& book, int& exit_code) {
  auto options = std::make_shared<EquipmentOptions>();
  CLI::App* command =
      book.add_subcommand("equipment", "the equipment list, as CSV; with --set another one");
  command->add_option("BOOK", options->path, "the aircraft book")->required();
  command->add_option("--set", options->list, "put this equipment list into the book, CSV");
  command->callback([options, &exit_code] { exit_code = equipment(*options); });
}

void add_sensor(CLI::App& book, int& exit_code) {
  auto request = std::make_shared<BookSensorRequest>();
  CLI::App* command = book.add_subcommand(
      "sensor", "puts a sensor with its mounting into the book, or replaces the one of that name");
  command->add_option("BOOK", request->path, "the aircraft book")->required();
  command->add_option("NAME", request->name, "as you call it, for example \"left wing\"")
      ->required();
  command->add_option("--unit", request->unit, "of its log: uT, or raw for counts (uT)");
  command->add_option("--mount", request->mount,
                      "sensor axes in the airframe, for example \"x=-y,y=x,z=z\"");
  command->add_option("--mount-deg", request->mount_deg,
                      "YAW,PITCH,ROLL of the sensor in the airframe");
  command->add_option("--accel-reads", request->accel_reads,
                      "up or down: the sign of the accelerometer's z, level and at rest");
  command->add_option("--note", request->note, "anything worth knowing about it");
  command->callback([request, &exit_code] {
    const auto put = put_book_sensor(*request);
    exit_code = put ? print_answer(fmt::format("Sensor '{}' is in the book.\n", request->name))
                    : print_error(put.error());
  });
}

struct SiteOptions {
  BookSiteRequest request;
  MeasuredFieldOptions measured;
};

void add_site(CLI::App& book, int& exit_code) {
  auto options = std::make_shared<SiteOptions>();
  CLI::App* command = book.add_subcommand(
      "site", "puts a place for measuring into the book, or replaces the one of that name");
  command->add_option("BOOK", options->request.path, "the aircraft book")->required();
  command->add_option("NAME", options->request.name, "as you call it, for example \"run-up bay\"")
      ->required();
  command->add_option("--at", options->request.at,
                      "LAT,LON[,ALT_m]: degrees, north and east positive");
  add_measured_field_options(*command, options->measured);
  command->add_option("--note", options->request.note, "anything worth knowing about it");
  command->callback([options, &exit_code] {
    options->request.horizontal_uT = options->measured.horizontal_uT;
    options->request.vertical_uT = options->measured.vertical_uT;
    const auto put = put_book_site(options->request);
    exit_code =
        put ? print_answer(fmt::format("Site '{}' is in the book.\n", options->request.name))
            : print_error(put.error());
  });
}

}  // namespace

void add_book_contents(CLI::App& book, int& exit_code) {
  add_new(book, exit_code);
  add_show(book, exit_code);
  add_equipment(book, exit_code);
  add_sensor(book, exit_code);
  add_site(book, exit_code);
}

}  // namespace qn
