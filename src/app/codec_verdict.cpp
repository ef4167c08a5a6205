// SPDX-License-Identifier: Apache-2.0
#include "app/codec_verdict_internal.h"

namespace qn {

nlohmann::ordered_json pair_json(const std::pair<double, double>& band) {
  return {band.first, band.second};
}

nlohmann::ordered_json verdict_json(const Verdict& verdict) {
  nlohmann::ordered_json out{{"state", to_word(verdict.state)},
                             {"limit_deg", nullptr},
                             {"limit_basis", nullptr},
                             {"because", verdict.because},
                             {"do_next", verdict.do_next}};
  if (verdict.limit) {
    out["limit_deg"] = verdict.limit->value.in_deg();
    out["limit_basis"] = verdict.limit->basis;
  }
  return out;
}

}  // namespace qn
