// SPDX-License-Identifier: Apache-2.0
#include "cli/sensor_fit_text.h"

#include <fmt/format.h>

#include <cmath>

#include "cli/folded_text.h"

namespace qn {
namespace {

std::string band(const Band95& b) {
  return fmt::format("{:.1f} to {:.1f}", b.lo.in_deg(), b.hi.in_deg());
}

std::string indented(const std::string& text, std::size_t first, std::size_t rest) {
  std::string out = std::string(first, ' ');
  for (const char c : folded(text, kTerminalColumns - rest)) {
    out += c;
    if (c == '\n') out += std::string(rest, ' ');
  }
  return out + "\n";
}

std::string list(const char* title, const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = fmt::format("\n{}\n", title);
  for (const std::string& item : items) out += "  - " + indented(item, 0, 4);
  return out;
}

// The curve as a strip of text: one row per 30 degrees, before and after side by side.
std::string curve_table(const SensorFit& fit) {
  std::string out =
      "\nHeading error in level flight, degrees (indicated - magnetic)\n"
      "  heading   uncorrected   95 % band         corrected, 95 % band\n";
  for (std::size_t i = 0; i < fit.curve.size(); i += 6) {
    const HeadingErrorPoint& p = fit.curve[i];
    out += fmt::format(
        "    {:03.0f}     {:>+8.1f}      {:>+6.1f} to {:<+6.1f}    {:>+6.1f} to {:+.1f}\n",
        p.heading_deg, p.before_deg, p.before_95.lo.in_deg(), p.before_95.hi.in_deg(),
        p.after_95.lo.in_deg(), p.after_95.hi.in_deg());
  }
  return out;
}

std::string correction_table(const SensorFit& fit) {
  const SensorCorrection& c = *fit.correction;
  const bool counts = fit.raw_unit == FieldUnit::counts;
  std::string out = fmt::format("\nCorrection: corrected_uT = matrix * (raw - offset), raw in {}\n",
                                counts ? "counts" : "uT");
  for (std::size_t i = 0; i < 3; ++i) {
    out += fmt::format("  [ {:>10.6f} {:>10.6f} {:>10.6f} ]   offset {} {:>11.3f}\n",
                       c.matrix[i][0], c.matrix[i][1], c.matrix[i][2], "xyz"[i], c.offset_raw[i]);
  }
  out += fmt::format("  offset in uT  {:.3f}, {:.3f}, {:.3f} (1 sigma {:.3f}, {:.3f}, {:.3f})\n",
                     c.offset_uT[0], c.offset_uT[1], c.offset_uT[2], c.offset_sigma_uT[0],
                     c.offset_sigma_uT[1], c.offset_sigma_uT[2]);
  return out;
}

std::string forecast_table(const SensorFit& fit) {
  std::string out = "\nWorst error after correction when tilted, degrees, 95 % band\n";
  for (const AttitudeForecast& f : fit.forecast) {
    out += fmt::format("  bank {:>2.0f}, pitch {:>2.0f}:  {}\n", f.bank_deg, f.pitch_deg,
                       band(f.worst_95));
  }
  return out;
}

}  // namespace

std::string sensor_fit_text(const FitDocument& document) {
  const SensorFit& fit = document.fit;
  std::string out = fmt::format("{}\n\n", to_word(fit.verdict.state));
  out += folded(fit.sentence) + "\n\n";
  if (fit.correction) out += folded(fit.verdict.because) + "\n";
  if (fit.verdict.limit) {
    out += folded(fmt::format("Limit {:.1f} degrees: {}.", fit.verdict.limit->value.in_deg(),
                              fit.verdict.limit->basis)) +
           "\n";
  }
  if (!fit.verdict.do_next.empty()) out += folded("Next: " + fit.verdict.do_next) + "\n";
  if (fit.correction) {
    out += fmt::format("\n  {:<22}{} samples over {:.0f} s, {} left out; {}\n", "recording",
                       fit.samples.used + fit.samples.rejected, fit.duration_s,
                       fit.samples.rejected, to_word(fit.motion));
    out += fmt::format("  {:<22}{:.1f} degrees near {:03.0f}, 95 % band {}\n", "worst uncorrected",
                       fit.before.worst.in_deg(), fit.before.at_heading_deg,
                       band(fit.before.worst_95));
    out +=
        fmt::format("  {:<22}95 % band {} degrees{}\n", "worst corrected", band(fit.after_worst_95),
                    fit.frame == FitFrame::sensor ? ", in the sensor's own axes" : "");
    out += fmt::format("  {:<22}{:.3f} uT a sample, alike for {:.2f} s\n", "noise",
                       fit.noise.sigma_uT, fit.noise.correlation_time_s);
    out += curve_table(fit) + forecast_table(fit) + correction_table(fit);
  }
  std::vector<std::string> unobserved;
  for (const Unobserved& u : fit.unobserved) unobserved.push_back(u.name + ": " + u.consequence);
  out += list("What this recording cannot show", unobserved);
  out += list("Assumed", fit.assumptions);
  out += list("Found in the recording", fit.notes);
  out += "\n" +
         folded(
             "Advisory: local rules and the licensed person who signs decide. Not for "
             "navigation until verified in flight.") +
         "\n";
  return out;
}

}  // namespace qn
