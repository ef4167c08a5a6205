// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <utility>

#include "app/codec_rose.h"
#include "app/file_digest.h"
#include "app/swing_input_internal.h"
#include "procedure/run_turning.h"
#include "vocab/heading.h"

namespace qn {
namespace {

std::string directions_words(const SwingRoseSource& from, const SwingNorth& north) {
  const RoseUse& use = from.use;
  return fmt::format(
      "Stations are marks of the rose {} ({} marks, {} of them used); where each points was taken "
      "from it ({}): {:+.1f} to {:+.1f} deg from what is written, {:+.2f} on average.",
      from.name, from.rose.marks.size(), use.marks.size(),
      from.directions_true ? fmt::format("true headings, the variation of {:+.2f} deg taken off",
                                         *north.variation_deg)
                           : std::string{"magnetic headings"},
      use.off_deg.first, use.off_deg.second, use.mean_off_deg);
}

std::string marks_words(const RoseUse& use) {
  std::string out = "The marks by what is written, and the magnetic heading each stands for here: ";
  for (std::size_t i = 0; i < use.marks.size(); ++i) {
    const RoseMark& mark = use.marks[i];
    out += fmt::format("{}{} = {:05.1f}", i == 0 ? "" : ", ", run::station_name(mark.written_deg),
                       wrap_360_deg(std::round(10.0 * mark.direction_deg) / 10.0));
  }
  return out + ".";
}

std::string station_sigma_words(const RoseUse& use) {
  if (!use.mark_sigma_deg) {
    return fmt::format(
        "The rose gives no sigma of its marks: {:.2f} deg (1 sigma) is taken for mark and placing "
        "together.",
        use.station_sigma_deg);
  }
  if (use.station_sigma_given) {
    return fmt::format(
        "A station's error is {:.2f} deg (1 sigma), mark and placing together, as given with "
        "--station-sigma-deg; that of the marks in the rose ({:.2f} deg) is not used.",
        use.station_sigma_deg, *use.mark_sigma_deg);
  }
  return fmt::format(
      "A station's error is {:.2f} deg (1 sigma): the aircraft beside the mark {:.2f} deg "
      "(assumed) "
      "and the mark itself {:.2f} deg (rose, root mean square). What a mark is off by is the same "
      "on "
      "every visit: that is added to the bands. --station-sigma-deg gives both together instead.",
      use.station_sigma_deg, use.placing_sigma_deg, *use.mark_sigma_deg);
}

std::string north_sigma_words(const RoseUse& use) {
  if (!use.north_sigma_deg)
    return "The rose gives no sigma of its north: the usual one is assumed.";
  return fmt::format("North of the rose, 1 sigma: {:.2f} deg, {}.", *use.north_sigma_deg,
                     use.north_sigma_given ? "as given with --north-sigma-deg" : "from the rose");
}

std::optional<Error> check_rose(const SwingNorth& north, const SwingFile& file,
                                bool directions_true) {
  if (!file.stations_named) {
    return Error{ErrorKind::OutOfRange, "a rose needs to know the mark of each reading",
                 "option --rose", "a stations file with a column station_deg",
                 "write what stands at each mark into station_deg"};
  }
  if (directions_true && !north.variation_deg) {
    return Error{ErrorKind::OutOfRange, "a rose of true directions needs the variation",
                 "option --rose", "--variation-deg, or --at with --on",
                 "say the variation of the day and place, east positive"};
  }
  return std::nullopt;
}

}  // namespace

std::optional<Error> take_rose(const SwingRequest& request, const SwingNorth& north,
                               SwingFile& file, SwingInput& input) {
  SwingRoseSource out;
  out.name = std::filesystem::path{*request.rose_path}.filename().string();
  auto read = read_rose_file(*request.rose_path, out.name);
  if (!read) return read.error();
  out.rose = std::move(read.value().rose);
  out.directions_true = read.value().north == RoseNorth::true_north ||
                        (read.value().north == RoseNorth::as_stations && north.stations_true);
  if (auto wrong = check_rose(north, file, out.directions_true)) return wrong;
  if (out.directions_true) {
    for (RoseMark& mark : out.rose.marks) {
      mark.direction_deg = wrap_360_deg(mark.direction_deg - *north.variation_deg);
    }
  }
  auto use = stand_on_rose(out.rose, file.readings, input.options);
  if (!use) return use.error();
  out.use = std::move(use).value();
  auto digest = sha256_of_file(*request.rose_path, out.name);
  if (!digest) return digest.error();
  out.sha256 = std::move(digest).value();
  // As for true stations: once it was taken off, a leftover of its size would be chance.
  input.options.variation_applied = out.directions_true;
  input.options.variation_deg = out.directions_true ? std::nullopt : north.variation_deg;
  for (const std::string& line : {directions_words(out, north), marks_words(out.use),
                                  station_sigma_words(out.use), north_sigma_words(out.use)}) {
    input.source.how_read.push_back(line);
  }
  input.source.rose = std::move(out);
  return std::nullopt;
}

}  // namespace qn
