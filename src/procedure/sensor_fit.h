// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "earth/local_field.h"
#include "vocab/band.h"
#include "vocab/field_vector.h"
#include "vocab/frame.h"
#include "vocab/parallel.h"
#include "vocab/result.h"
#include "vocab/sample.h"
#include "vocab/verdict.h"

namespace qn {

/// How the sensor was moved while it was recorded.
enum class Motion {
  automatic,  ///< decide from the spread of directions
  tumble,     ///< through many attitudes
  swing,      ///< one level turn
  stations,   ///< a level turn with stops on known headings
};
std::string_view to_word(Motion motion);

/// Whose axes the corrected heading belongs to.
enum class FitFrame {
  sensor,  ///< the sensor's own: the angle to the airframe is unknown, no verdict is possible
  body,    ///< the airframe, tied by known headings (and attitude)
};
std::string_view to_word(FitFrame frame);

/// An uncertain tilt with its two components' common 1 sigma.
struct TiltAssumption {
  Angle
      first;  ///< slope: rise toward north lowers the tail; see docs/math/sensor-fit.md. deck: roll
  Angle second;  ///< slope: toward east. deck: pitch
  Angle sigma;
  bool given = false;  ///< by the user; otherwise this program's own assumption, printed
};

struct SensorFitOptions {
  Motion motion = Motion::automatic;
  LocalField earth;
  Rotation<Body, Sensor> mounting = Rotation<Body, Sensor>::identity();
  bool mounting_given = false;
  TiltAssumption ground_slope;  ///< fixed to the earth; used on level turns without roll and pitch
  TiltAssumption deck_tilt;     ///< turns with the aircraft; same
  bool accelerometer_reads_down = false;  ///< true when it gives +1 g along z, level and at rest
  std::vector<KnownHeading> known_headings;
  std::vector<Station> stations;              ///< in the order they were visited; no times
  Angle station_sigma = Angle::degrees(0.5);  ///< how well the aircraft stood on each mark, 1 sigma
  Angle north_sigma = Angle::degrees(0.3);    ///< common error of all known headings, 1 sigma
  Limit limit;
  std::size_t residual_points = 1200;  ///< how many residuals to keep for a plot
};

struct SensorNoise {
  double sigma_uT = 0.0;
  double correlation_time_s = 0.0;  ///< 0: independent from sample to sample
  double band_inflation = 1.0;  ///< >= 1: widening because the noise has a longer memory as well
};

struct SampleUse {
  std::size_t used = 0;
  std::size_t rejected = 0;  ///< did not fit: somebody passed with steel, spikes
  std::size_t repaired = 0;  ///< mended by the reader
};

/// Something the recording cannot show, and what the answer assumes in its place.
struct Unobserved {
  std::string name;         ///< "yaw angle of the sensor", "ground slope"
  std::string consequence;  ///< what it does to the heading
};

struct HeadingErrorPoint {
  double heading_deg = 0.0;
  double before_deg = 0.0;
  Band95 before_95;
  Band95 after_95;
};

struct WorstBefore {
  Angle worst;  ///< largest size of the estimated curve, >= 0
  double at_heading_deg = 0.0;
  Band95 worst_95;
};

struct AttitudeForecast {
  double bank_deg = 0.0;
  double pitch_deg = 0.0;
  Band95 worst_95;  ///< largest heading error after correction, over all headings
};

/// How many samples met the field from each direction, in the corrected sensor's axes.
/// Cells of equal area: columns of azimuth, rows of equal sine of elevation.
struct DirectionCoverage {
  static constexpr std::size_t kColumns = 24;          ///< azimuth from x toward y, 15 degrees each
  static constexpr std::size_t kRows = 12;             ///< from z = -1 (row 0) to z = +1
  std::array<std::size_t, kColumns * kRows> counts{};  ///< row-major
  double filled_fraction = 0.0;                        ///< cells with at least one used sample
  double heading_arc_deg = 0.0;                        ///< 360 minus the widest gap in azimuth
};

struct ResidualPoint {
  double time_s = 0.0;
  double residual_uT = 0.0;
  bool used = true;
};

/// One row of the stations file and the stop it was matched with.
struct StationMatch {
  double station_deg = 0.0;
  std::optional<double> from_s, to_s;  ///< none: this stop is missing from the recording
  std::optional<double> residual_deg;  ///< fitted minus station
};

struct FitCovariance {
  std::vector<std::string> order;           ///< "matrix_11", ..., "offset_x_raw", ...
  std::vector<std::vector<double>> values;  ///< square, symmetric, in the units of its parameters
};

/// The solved correction, present only when the recording could carry one.
/// corrected_uT = matrix * (raw - offset_raw), in `frame` axes.
struct SensorCorrection {
  Matrix3 matrix{};
  Vector3 offset_raw{};
  Vector3 offset_uT{};  ///< matrix * offset_raw for counts, else offset_raw
  Vector3 offset_sigma_uT{};
  FitCovariance covariance;
};

struct SensorFit {
  Motion motion = Motion::tumble;  ///< as decided, never automatic
  FitFrame frame = FitFrame::sensor;
  FieldUnit raw_unit = FieldUnit::microtesla;
  LocalField earth;
  double duration_s = 0.0;
  SampleUse samples;
  std::optional<SensorCorrection> correction;
  // The members from here to `coverage` are meaningful only with a correction.
  SensorNoise noise;
  double condition = 0.0;  ///< of the scaled normal matrix; large means directions are missing
  WorstBefore before;
  Band95 after_worst_95;
  std::vector<AttitudeForecast> forecast;
  std::vector<HeadingErrorPoint> curve;  ///< level flight, every 5 degrees from 0 to 355
  std::vector<ResidualPoint> residuals;
  DirectionCoverage coverage;
  std::vector<StationMatch> stations;
  std::vector<Unobserved> unobserved;
  std::vector<std::string> assumptions;  ///< one sentence each, own assumptions with their size
  std::vector<std::string> notes;  ///< one sentence each: what was found and how it was treated
  std::string sentence;            ///< the answer in one sentence, figures included
  Verdict verdict;
};

/// Solves hard and soft iron from a recording and judges what is left, in degrees of heading.
///
/// recording  one sensor, see SensorRecording; at least 2 samples
/// options    the Earth's field is required; everything else has an honest default
/// returns    correction with covariance, error curves with 95 % bands, verdict. A recording that
///            cannot decide gives a fit without correction and the verdict `unproven`
/// errors     BadInput: all samples identical, clipped at a rail, or not near the Earth's field in
///            the stated unit (the likely unit is named)
/// cost       O(samples); memory O(samples) beside the recording
/// source     docs/math/sensor-fit.md
/// The answer does not depend on how many threads `parallel` uses.
Result<SensorFit> fit_sensor(const SensorRecording& recording, const SensorFitOptions& options,
                             const ParallelFor& parallel);

/// corrected_uT = matrix * (raw - offset_raw).
Vector3 apply_correction(const SensorCorrection& correction, const Vector3& raw);

}  // namespace qn
