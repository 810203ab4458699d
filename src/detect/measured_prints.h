// SPDX-License-Identifier: Apache-2.0
// `prints: measured`: the share of its outline that a plate covers on a good pull.
#ifndef TRUEPULL_SRC_DETECT_MEASURED_PRINTS_H_
#define TRUEPULL_SRC_DETECT_MEASURED_PRINTS_H_

#include <vector>

#include "detect/edge_fit.h"
#include "detect/ink.h"
#include "truepull/plan.h"

namespace truepull::detect {

/// One share for each plate of the plan: what the plan says or, for `measured`, the coverage that
/// the upper fifth of the plate's own pulls reach on this sheet (a full pull is told likewise); at
/// least 0.05. With no pull of the plate it stays the plan's 1.
/// pulls, inks   as of AllSites.
std::vector<double> PrintsOf(const Plan& plan, const std::vector<Site>& sites, const std::vector<Pull>& pulls, const std::vector<Ink>& inks);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_MEASURED_PRINTS_H_
