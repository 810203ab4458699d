// SPDX-License-Identifier: Apache-2.0
// What changed along the run: lines of values, jumps, and sheets that stand apart.
#ifndef TRUEPULL_EDITION_RUN_H_
#define TRUEPULL_EDITION_RUN_H_

#include <vector>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

/// Series for the pages, over the sheets `which` (of one plan, pass and paper, in order of
/// printing). `group` (may be empty) tells them from those of other papers and plans.
void AddSeries(EditionReview& review, const std::vector<SheetFit>& fits, const std::vector<std::size_t>& which, const std::string& group);

/// Jumps of the sheets' shift, dated; and single sheets whose shift stands apart from the
/// others': leave one out, Hotelling's T-squared against the rest. Six sheets at least.
void FindJumps(EditionReview& review, const std::vector<SheetFit>& fits, const std::vector<std::size_t>& which);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_RUN_H_
