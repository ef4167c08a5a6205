// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string>
#include <vector>

#include "procedure/disturbance_run.h"
#include "report/sheet_flow.h"

namespace qn {

/// A figure and what stands small under it: its sigma, its band.
struct TableCell {
  std::string figure;
  std::string under;
};

struct TableRow {
  std::string number = {};
  std::string name = {};   ///< bold; empty for a further state of the device above
  std::string state = {};  ///< under the name
  std::array<TableCell, 3> field = {};
  TableCell error = {}, tilted = {};
  std::string worst_at = {};
  TableCell per_ampere = {};
  std::string repeats = {};
  VerdictState verdict = VerdictState::unproven;
  std::string remark = {};  ///< over the whole width, under the row
  bool closes = false;      ///< a rule under it
};

/// One row for each state of each device, worst device first.
std::vector<TableRow> device_rows(const DisturbanceRun& run);
/// One for each set worked together, in the order of the run.
std::vector<TableRow> together_rows(const DisturbanceRun& run);

/// Rows under one another over as many sheets as they need, the heads on each.
void flow_table(SheetFlow& flow, const std::string& title, const std::vector<TableRow>& rows);

}  // namespace qn
