// SPDX-License-Identifier: Apache-2.0
// Tiles that stand too far apart (or too close): paper, a creeping hand, or no telling.
#ifndef TRUEPULL_EDITION_GROWTH_H_
#define TRUEPULL_EDITION_GROWTH_H_

#include <vector>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

/// One way of the lattice on one sheet: what each step gains along itself.
struct StepGain {
  bool has = false;
  double gain_mm = 0, sd_mm = 0;   // Beyond the plan, per step.
  double p = 1;                    // Chance of so much without growth.
  int steps = 0;                   // From the first column (row) to the last.
  double first_mm = 0, last_mm = 0;  // Along the step: drift of the first and the last column.
  double sd_end_mm = 0;
};
struct SheetGrowth {
  StepGain columns, rows;
  double x = 0, y = 0, sd_x = 0, sd_y = 0;  // Stretch, ratios.
  bool has_x = false, has_y = false;
  double p_x = 1, p_y = 1;
};
SheetGrowth MeasureGrowth(const Plan& plan, const SheetFit& fit);

/// Decides over all sheets of one paper. A sheet shows growth when its stretch one way is
/// significant at level / (2 sheets) and moves the outermost tile by `least_mm`. Then
///
/// for paper: the grain is known and it grew more than twice as much across it as along it;
///   or it grew as the plan (or edition.yaml) says this paper does;
/// for a creeping hand: on three sheets or more the first (or last) column lies where it
///   should while the other end does not, so that error piles up from a fixed start; or the
///   grain is known and the tiles stand too far apart along it and not across it, which no
///   paper does.
///
/// Evidence for one alone decides; both or none: paper or creep, cannot tell. One sheet or
/// two with a fixed start do not prove creep, but keep paper from being taken as proved.
Growth JudgeGrowth(const Plan& plan, const EditionPaper& paper, const std::vector<const SheetGrowth*>& sheets,
                   const ReviewThresholds& thresholds, std::vector<Cause>* of_sheets,
                   std::vector<char>* from_start = nullptr);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_GROWTH_H_
