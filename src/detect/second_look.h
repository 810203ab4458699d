// SPDX-License-Identifier: Apache-2.0
// A second look at doubtful pulls: other starts, and what the picture supports best.
#ifndef TRUEPULL_SRC_DETECT_SECOND_LOOK_H_
#define TRUEPULL_SRC_DETECT_SECOND_LOOK_H_

#include <vector>

#include "detect/coarse_search.h"
#include "detect/edge_fit.h"
#include "detect/joint_fit.h"
#include "detect/smooth_drift.h"

namespace truepull::detect {

/// The fits used at first, far from the answer.
EdgeFitOptions WideFit();
EdgeFitOptions FineFit();
EdgeFitOptions QuickFit();   // Like FineFit, on every second sample of the edge.
/// Only judges: sets Pull::misfit, in light itself.
EdgeFitOptions JudgeFit();

/// Tries every doubtful pull again from the search's other peaks, from what the others'
/// drift predicts, and from a band's width to each side (the usual false lock), and
/// keeps what explains the light best, given how far hands stray on this sheet.
/// Doubtful is a pull whose edge fits raggedly, leaves much light unexplained, or lies
/// far off the others' drift. `look[i]` says which to consider; it comes back set for
/// those that changed by more than 0.3 mm and for their neighbours. Returns how many
/// changed.
int LookAgain(const EdgeFit& fit, const JointFit& joint, std::vector<Pull>& pulls, const std::vector<Pose>& expected,
              const std::vector<std::vector<Candidate>>& candidates, std::vector<char>& look);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_SECOND_LOOK_H_
