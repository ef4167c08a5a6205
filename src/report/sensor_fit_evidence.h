// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "procedure/sensor_fit.h"
#include "report/page_canvas.h"

namespace qn {

/// Bars, plots, numbers and lists of a fit that has a correction, within `room`. Plots take what
/// the words leave, between their least and most height; words are shortened for what is then
/// missing.
void fit_evidence(PageCanvas& canvas, PageBox room, const SensorFit& fit);

/// The same for a recording that could not carry a correction: what was met, and why not. What is
/// left of the page is ruled for a pencil.
void evidence_without_correction(PageCanvas& canvas, PageBox room, const SensorFit& fit);

}  // namespace qn
