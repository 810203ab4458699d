// SPDX-License-Identifier: Apache-2.0
// How much of the drift is paper or creep, plate, block, habit, chance and measuring.
#ifndef TRUEPULL_EDITION_COMPONENTS_H_
#define TRUEPULL_EDITION_COMPONENTS_H_

#include <vector>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

/// Mean squares over the sites of each sheet, averaged over the sheets; their uncertainty is
/// the scatter of the sheets' own values over the root of their number.
std::vector<Component> VarianceComponents(const std::vector<EditionSheet>& sheets, const std::vector<SheetReview>& reviews,
                                          const std::vector<SheetFit>& fits, const std::vector<PlateFault>& plates,
                                          const std::vector<BlockFault>& blocks);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_COMPONENTS_H_
