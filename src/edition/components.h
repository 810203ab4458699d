// SPDX-License-Identifier: Apache-2.0
// How much of the drift is paper or creep, plate, block, habit, chance and measuring.
#ifndef TRUEPULL_EDITION_COMPONENTS_H_
#define TRUEPULL_EDITION_COMPONENTS_H_

#include <vector>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

/// What of one sheet's drift is whose.
struct SheetParts {
  const Plan* plan = nullptr;
  const SheetReview* review = nullptr;
  const SheetFit* fit = nullptr;
  std::vector<PlateFault> plates;   // That concern it.
  std::vector<BlockFault> blocks;
};

/// Mean squares over the sites of each sheet, averaged over the sheets, which are of one plan and pass; their uncertainty is the
/// scatter of the sheets' own values over the root of their number. Sheets too poor to judge, or without pulls, are left out.
std::vector<Component> VarianceComponents(const std::vector<SheetParts>& sheets);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_COMPONENTS_H_
