// SPDX-License-Identifier: Apache-2.0
// From a reading to the problem of the plates' places.
#ifndef TRUEPULL_PLACEMENT_NEXT_PROBLEM_H_
#define TRUEPULL_PLACEMENT_NEXT_PROBLEM_H_

#include <vector>

#include "drift/seam_net.h"
#include "placement/balance.h"
#include "truepull/drift.h"
#include "truepull/placement.h"

namespace truepull {

/// Every site's poses at the pull, and the seams between the plates.
struct NextProblem {
  std::vector<Pose> ideals;      // At the pull.
  BalanceProblem free;           // All plates may move; printed ones drawn to impressions.
  BalanceProblem on_register;    // Printed ones held at their impressions.
};

/// finish: what nothing else draws is held to the printed sites as one piece, without their growth.
NextProblem MakeNextProblem(const DriftReport& report, const SeamNet& net, const PullState& state,
                            bool finish = false);

}  // namespace truepull

#endif  // TRUEPULL_PLACEMENT_NEXT_PROBLEM_H_
