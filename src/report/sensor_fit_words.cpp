// SPDX-License-Identifier: Apache-2.0
#include "report/sensor_fit_words.h"

#include <cmath>

#include "report/figure_words.h"

namespace qn {
namespace {

std::string motion_words(Motion motion) {
  switch (motion) {
    case Motion::tumble: return "Turned through many attitudes";
    case Motion::swing: return "One level turn";
    case Motion::stations: return "Turned level from station to station";
    case Motion::automatic: break;
  }
  return "Moved";
}

// No-break spaces keep a figure and its unit on one line.
std::string microtesla_words(double value) { return number_words(value, 2) + "\u00a0µT"; }
std::string sigma_words(double value) {
  return "(1\u00a0sigma\u00a0" + number_words(value, 2) + ")";
}

std::string field_words(const LocalField& earth) {
  std::string text = "Earth’s field " + microtesla_words(earth.horizontal_uT) +
                     " along the ground " + sigma_words(earth.sigma_horizontal_uT) + " and " +
                     microtesla_words(earth.down_uT) + " down " + sigma_words(earth.sigma_down_uT) +
                     ", dip\u00a0" + degree_words(earth.dip());
  if (!earth.source.empty()) text += ", from " + earth.source;
  return text + ".";
}

std::vector<ListItem> plain(const std::vector<std::string>& sentences) {
  std::vector<ListItem> items;
  for (const std::string& sentence : sentences) {
    if (!sentence.empty()) items.push_back({"", sentence});
  }
  return items;
}

}  // namespace

std::string recording_facts(const SensorFit& fit) {
  std::string text = motion_words(fit.motion) + " in " + duration_words(fit.duration_s) + ": " +
                     count_words(fit.samples.used) + " samples used, " +
                     count_words(fit.samples.rejected) + " left out, " +
                     count_words(fit.samples.repaired) + " mended. ";
  if (fit.correction && fit.frame == FitFrame::sensor) {
    text +=
        "The figures are those of the sensor’s own axes: its angle to the airframe is not known. ";
  } else if (fit.correction) {
    text += "Headings are magnetic and those of the airframe. ";
  }
  return text + field_words(fit.earth);  // last, because its source may be long
}

std::vector<HonestBar> before_and_after(const SensorFit& fit) {
  return {{.name = "Before correction",
           .why = "Worst near " + heading_words(fit.before.at_heading_deg) + ".",
           .size_95 = fit.before.worst_95,
           .estimate = fit.before.worst,
           .verdict = std::nullopt},
          {.name = "After correction",
           .why = "Worst heading, 95 % band.",
           .size_95 = fit.after_worst_95,
           .estimate = std::nullopt,
           .verdict = fit.verdict.state}};
}

std::string coverage_words(const SensorFit& fit) {
  if (fit.motion != Motion::tumble) return "a level turn meets one band";
  const double percent = 100.0 * fit.coverage.filled_fraction;
  const bool trace = percent > 0.0 && percent < 1.0;
  return (trace ? std::string{"under 1"} : number_words(percent, 0)) + " % · bare: never met";
}

std::string coverage_explanation(const SensorFit& fit) {
  const std::string how =
      fit.motion == Motion::tumble
          ? "Turn and tilt the sensor until the bare cells fill."
          : "A level turn meets one band, which should reach all the way round.";
  return "Each cell is an equal part of all directions, in the sensor’s axes: across, the way "
         "round "
         "from x over y; down, from −z to +z. A fuller square stands for more samples; bare paper "
         "is a direction the field was never met from. " +
         how;
}

Framed sensor_fit_caution() {
  return {
      .title = "Before anything moves",
      .text =
          "People clear; chocks and brakes ready; wing tips watched; propeller arc empty. No steel "
          "tools, keys, phones or cars near the sensor. Where an aircraft moves near people, "
          "this program advises and local rules decide."};
}

Framed next_step(const SensorFit& fit) {
  std::string text = fit.verdict.do_next;
  if (text.empty()) {
    text = "Nothing is open. Record again after any change of iron or wiring near the sensor.";
  }
  return {.title = "Do next", .text = text, .slip = true, .size_pt = 9.5};
}

TextList cannot_show(const SensorFit& fit) {
  TextList list{.title = "What this recording cannot show"};
  for (const Unobserved& u : fit.unobserved) list.items.push_back({u.name, u.consequence});
  return list;
}

TextList assumed(const SensorFit& fit) { return {"Assumed", plain(fit.assumptions)}; }

TextList found(const SensorFit& fit) { return {"Found in the recording", plain(fit.notes)}; }

}  // namespace qn
