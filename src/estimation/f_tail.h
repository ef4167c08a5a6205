// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace qn {

/// P(F > f) of the F distribution with `a` and `b` degrees of freedom, f >= 0, a and b > 0;
/// b may be infinite (chi-square over a). Absolute error below 1e-10.
/// source  the regularised incomplete beta function by Lentz's continued fraction
double f_tail(double f, double a, double b);

}  // namespace qn
