// SPDX-License-Identifier: Apache-2.0
// All poses of a sheet from the evidence of all normals: one sparse robust system.
#ifndef TRUEPULL_SRC_DETECT_POSE_SYSTEM_H_
#define TRUEPULL_SRC_DETECT_POSE_SYSTEM_H_

#include <vector>

#include "detect/edge_evidence.h"

namespace truepull::detect {

struct PoseSystemOptions {
  double growth_mm = 0.05, growth_sd_mm = 0.05;   // Prior of the outline's growth.
  bool covariance = false;                        // Also fill in the joint covariance.
};

/// Solves for the pose and growth of the pulls in `use`, the others staying where they
/// are, by iteratively reweighted least squares (Tukey's biweight), and moves them.
/// Each normal's two shifts have covariance A^-1 + s^2 I; s (ragged edges) is found for
/// each pull from its own residuals, and the covariance is scaled by their correlation
/// along the edge. Fills in pose, growth, spread, evidence, moved and repeat.
void MovePulls(std::vector<Pull>& pulls, std::vector<PullEvidence>& evidence, const std::vector<std::size_t>& use,
               const PoseSystemOptions& options);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_POSE_SYSTEM_H_
