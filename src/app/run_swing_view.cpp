// SPDX-License-Identifier: Apache-2.0
#include "app/run_swing_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "procedure/run_swing.h"
#include "procedure/run_turning.h"

namespace qn {
namespace {

using Json = nlohmann::ordered_json;

bool names_row(const std::vector<DoubtfulReading>& list, std::size_t row) {
  return std::any_of(list.begin(), list.end(),
                     [&](const DoubtfulReading& d) { return d.row == row; });
}

std::string doubt_words(const DoubtfulReading& d, const char* how_sure) {
  return fmt::format("{} on {} does not fit the others; {}: {}.",
                     run::reading_text(d.indicated_deg), run::station_name(d.station_deg), how_sure,
                     d.cause.empty() ? d.likely : d.cause);
}

/// reads  by row
RunSwingCompass compass_of(const SwingCompass& solved, const std::vector<const run::Read*>& reads) {
  RunSwingCompass out;
  out.name = solved.name;
  out.loads = solved.loads;
  out.solved = solved.solved;
  for (std::size_t i = 0; i < solved.rows.size(); ++i) {
    const SwingObserved& o = solved.observed[i];
    const run::Read& read = *reads[solved.rows[i]];
    const bool named = names_row(solved.gross, solved.rows[i]);
    const bool suspect = named || names_row(solved.suspects, solved.rows[i]);
    const bool doubted = read.doubted && !read.confirmed;
    out.readings.push_back({run::visit_name(read), o.station_deg, o.indicated_deg, o.deviation_deg,
                            o.used, suspect || doubted});
    if (doubted && !suspect) {
      out.doubts.push_back(fmt::format("{} on {} does not fit the others.",
                                       run::reading_text(read.number), read.step));
    }
  }
  if (!solved.solved) return out;
  out.points = solved.points;
  out.worst_deg = solved.worst_deviation_deg;
  out.worst_at_deg = solved.worst_at_deg;
  out.worst_95_deg = solved.worst_95_deg;
  if (solved.verdict.limit) out.limit_deg = solved.verdict.limit->value.in_deg();
  for (const DoubtfulReading& d : solved.gross) out.doubts.push_back(doubt_words(d, "likely"));
  for (const DoubtfulReading& d : solved.suspects) out.doubts.push_back(doubt_words(d, "perhaps"));
  return out;
}

/// For a drawing: what nobody can see is not sent.
double hundredths(double deg) { return std::round(deg * 100.0) / 100.0; }

}  // namespace

std::string to_json(const RunSwing& swing) {
  Json json{{"compasses", Json::array()}};
  for (const RunSwingCompass& c : swing.compasses) {
    Json one{{"name", c.name}, {"loads", c.loads}, {"solved", c.solved}};
    one["readings"] = Json::array();
    for (const RunSwingReading& r : c.readings) {
      one["readings"].push_back({{"visit", r.visit},
                                 {"station_deg", r.station_deg},
                                 {"indicated_deg", r.indicated_deg},
                                 {"deviation_deg", hundredths(r.deviation_deg)},
                                 {"used", r.used},
                                 {"doubtful", r.doubtful}});
    }
    one["curve"] = Json::array();
    for (const SwingPoint& p : c.points) {
      one["curve"].push_back({{"indicated_deg", p.indicated_deg},
                              {"deviation_deg", hundredths(p.deviation_deg)},
                              {"lo", hundredths(p.lo_deg)},
                              {"hi", hundredths(p.hi_deg)}});
    }
    one["worst_deg"] = hundredths(c.worst_deg);
    one["worst_at_deg"] = c.worst_at_deg;
    one["worst_95_deg"] = {hundredths(c.worst_95_deg.first), hundredths(c.worst_95_deg.second)};
    one["limit_deg"] = c.limit_deg ? Json(*c.limit_deg) : Json(nullptr);
    one["doubts"] = c.doubts;
    json["compasses"].push_back(std::move(one));
  }
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

void SwingTeller::tell(const run::State& state, std::optional<RunSwing>& swing) {
  if (told_ == state.heard && swing) return;
  told_ = state.heard;
  swing.emplace();
  const auto readings = run::swing_readings_of(state);
  const auto reads = run::kept_reads(state);
  const auto solved = solve_swing(readings, run::options_for(options_, readings));
  if (!solved) return;
  for (const SwingCompass& compass : solved.value().compasses) {
    swing->compasses.push_back(compass_of(compass, reads));
  }
}

}  // namespace qn
