// SPDX-License-Identifier: Apache-2.0
// The two searches behind a verdict.
#ifndef TRUEPULL_SRC_TILING_REPEATS_H_
#define TRUEPULL_SRC_TILING_REPEATS_H_

#include <optional>

#include "tiling/boundary.h"
#include "truepull/tiling.h"

namespace truepull::tiling {

/// By shifts alone (Beauquier and Nivat), the repeat with the shortest steps.
std::optional<Repeat> FindShiftRepeat(const Boundary& boundary, double area_mm2);

/// By shifts and half turns (Conway's criterion), the repeat with the shortest steps among
/// the first few hundred found.
std::optional<Repeat> FindHalfTurnRepeat(const Boundary& boundary, double area_mm2);

/// A stretch and the one it is carried onto by a shift, walked the other way.
Meeting ShiftMeeting(const Boundary& boundary, double from, double to, double partner_from,
                     double partner_to);

/// How long the steps are: what "shortest" compares.
double StepsSize(const LatticeSteps& steps);

}  // namespace truepull::tiling

#endif  // TRUEPULL_SRC_TILING_REPEATS_H_
