// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "estimation/noise_model.h"
#include "estimation/normal_equations.h"
#include "estimation/row_block.h"

namespace qn {

/// Size, colour and time constant of the noise, by restricted maximum likelihood: what the fitted
/// parameters have swallowed is given back, so that few samples or slow noise do not make it look
/// small.
///
/// blocks   rows not whitened, residuals and derivatives in one unit; at most about 10 000 rows in
///          all (cost is about 100 passes over them)
/// prior    precision of the parameters, 1 / unit^2 of each; may be zero
/// start    the scale that the prior is weighed against
/// returns  white and slow variance; slow part zero when the data do not ask for it
NoiseModel fit_noise(const std::vector<RowBlock>& blocks, const SquareMatrix& prior,
                     const NoiseModel& start);

/// How much larger the noise is over long times than `noise` says, from residuals whitened with
/// it: the mean square of normalised sums over `group` rows. 1 when it agrees or when the excess
/// could be chance (less than 0.5 %); never below 1.
double long_memory_inflation(const std::vector<double>& whitened_residuals, std::size_t group);

}  // namespace qn
