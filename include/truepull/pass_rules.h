// SPDX-License-Identifier: Apache-2.0
// What the kinds of pass allow: a reduction block prints only where it has not been cut, a glaze lets
// everything show through.
#ifndef TRUEPULL_PASS_RULES_H_
#define TRUEPULL_PASS_RULES_H_

#include <span>
#include <string>
#include <vector>

#include "truepull/placement.h"

namespace truepull {

struct PassRules {
  std::vector<std::string> findings;   // Against the rules, or to be done first: need a look.
  std::vector<std::string> notes;      // Worth knowing.
};

/// The rules of a pass, once its plates are placed; adds to the placements' reasons.
///
/// reduction  One block, cut further for each pass: its outline must lie within that of the pass it was cut from (the
///            last reduction before it, else the first pass), to 0.1 mm. What is missing or weak beneath can be
///            mended only until the block is cut: those sites are named and carry it in their reason.
/// glaze      A transparent layer over all: half or opaque colour is no glaze; where nothing lies beneath
///            it covers bare paper; where its plates overlap the seam shows as a darker line.
///
/// Sites that the printer left, or has said what to do at, are not named again.
PassRules ApplyPassRules(const Plan& plan, const Pass& pass, NextPass& next);

/// How far `inner` reaches outside `outer`, mm; 0 when it lies within. Looked at every 0.5 mm.
double ReachesOutside(std::span<const Point> inner, std::span<const Point> outer);

}  // namespace truepull

#endif  // TRUEPULL_PASS_RULES_H_
