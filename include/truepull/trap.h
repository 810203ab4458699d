// SPDX-License-Identifier: Apache-2.0
// Trap: the overlap, planned into a plate, that hides misregister; and the plates' outlines with it.
#ifndef TRUEPULL_TRAP_H_
#define TRUEPULL_TRAP_H_

#include <span>

#include "truepull/geometry.h"
#include "truepull/result.h"

namespace truepull {

struct TrapWidth {
  double closes = 0.95;         // Share of the seams that the trap is to close.
  double width_mm = 0;
  double factor = 0;            // width / spread.
  int sites = 0;                // 0: the spread was taken as known.
};

/// The overlap that closes the share `closes` of all seams between two plates whose places are
/// independent, each with the spread sd_mm square to the seam: sqrt(2) k sd, k = z (2.33 sd for
/// 95 %, 3.29 sd for 99 %) when the spread is known, or the tolerance factor at 95 % confidence
/// when it was measured on few sites (sites >= 2).
TrapWidth TrapFor(double sd_mm, double closes, int sites = 0);

/// An outline moved outwards by `by_mm` (a spread) or, negative, inwards (a choke), corners kept
/// (mitred up to five times the distance). Clockwise or not as it was; begins near where it began.
///
/// Fails with kBadArgument when a choke leaves nothing, breaks the shape apart or removes a part
/// narrower than twice the choke (a neck or a tongue), and when a spread closes a gap so that a
/// hole is left; it says where.
Result<Outline> TrappedOutline(std::span<const Point> outline, double by_mm);

}  // namespace truepull

#endif  // TRUEPULL_TRAP_H_
