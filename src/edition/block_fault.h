// SPDX-License-Identifier: Apache-2.0
// The block's own fault: what repeats at one site of every sheet.
#ifndef TRUEPULL_EDITION_BLOCK_FAULT_H_
#define TRUEPULL_EDITION_BLOCK_FAULT_H_

#include <vector>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

/// Sites whose mean over the sheets differs from what the sheets' own parts explain. The
/// largest is taken first and left out of the fits before the next is looked for, so that a
/// faulty site does not make its neighbours look faulty. Needs three sheets.
std::vector<BlockFault> FindBlockFaults(const std::vector<const DriftReport*>& drifts, Point centre,
                                        const ReviewThresholds& thresholds, double* least_p = nullptr);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_BLOCK_FAULT_H_
