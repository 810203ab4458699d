// SPDX-License-Identifier: Apache-2.0
// Sheets beside the approved proof: how alike, and what sets each apart.
#ifndef TRUEPULL_EDITION_LIKENESS_H_
#define TRUEPULL_EDITION_LIKENESS_H_

#include <vector>

#include "truepull/edition.h"

namespace truepull {

/// Distance from the proof, weighed: r.m.s. difference of the drifts over `fine_mm`, of the
/// densities over a tenth of a full one, and of coverage over 0.05. Sheets whose distances
/// lie within their joint uncertainty are ties.
std::vector<Likeness> LikenessToProof(const std::vector<EditionSheet>& sheets, const std::vector<SheetReview>& reviews,
                                      const EditionSettings& settings);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_LIKENESS_H_
