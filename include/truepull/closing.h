// SPDX-License-Identifier: Apache-2.0
// Closing a hand-cut or traced outline: the smallest change that makes it repeat exactly,
// and how far off, and where, it was.
#ifndef TRUEPULL_CLOSING_H_
#define TRUEPULL_CLOSING_H_

#include <span>
#include <string>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/result.h"
#include "truepull/tiling.h"

namespace truepull {

/// How a stretch of the outline misses the one it should meet.
struct Misfit {
  Point at;        // Where it is worst, on the outline as given, mm.
  double mm = 0;   // > 0: stands out beyond its partner (overlap); < 0: short (gap).
  Point partner;   // The place of the outline that it should meet there, mm.
};

struct ClosingOptions {
  // Misfit beyond which the outline is said not to repeat. Two edges cut by hand along the
  // same line (sd 0.08 mm each) differ by up to 0.4 mm; a side slipped by 1 mm must not pass.
  double tolerance_mm = 0.45;
  double mean_over_mm = 2.0;  // Misfits are means over this length, so that one traced
                              // point does not speak for a side.
  bool shifts = true;         // Look for a repeat by shifts ...
  bool half_turns = true;     // ... and by shifts and half turns.
};

struct Closing {
  bool near = false;             // The worst misfit is within the tolerance.
  bool by_half_turns = false;    // The repeat found uses half turns.
  LatticeSteps steps;            // Estimated from the outline; exact for `closed`.
  Outline closed;                // Repeats exactly (1e-6 mm). Empty when not near.
  double rms_mm = 0;             // Of all misfits.
  std::vector<Misfit> misfits;   // The worst of each stretch, worst first.
  std::vector<Pose> cell{Pose{}};  // Tiles that repeat together by `steps`, as in Repeat.
};

/// Finds the repeat nearest to an outline and closes it.
///
/// First the splits of A B C A' B' C' and of A B C A' D E (see JudgeOutline) are searched on
/// some 130 evenly spaced points: the squared misfit of any stretch to its partner after the
/// best shift, or to itself after the best half turn, comes from running sums, so every
/// choice of splits is tried. The best few are refined on the outline itself: steps and
/// centres by least squares on the distance across the edge, robustly, so that a fault stays
/// where it is, and the splits to where the two neighbours' claims are equal. Partners are
/// then averaged.
///
/// Fails as CheckOutline does. A closed outline that would cross itself is not near.
Result<Closing> CloseOutline(std::span<const Point> outline, const ClosingOptions& options = {});

/// Where a point of the outline is, for people: "right side, 38 mm from the top".
std::string PlaceOnOutline(std::span<const Point> outline, Point at);

/// A misfit in words: "right side, 38 mm from the top: 1.4 mm short of its partner, the left
/// side".
std::string Describe(std::span<const Point> outline, const Misfit& misfit);

}  // namespace truepull

#endif  // TRUEPULL_CLOSING_H_
