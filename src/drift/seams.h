// SPDX-License-Identifier: Apache-2.0
// Seams with the uncertainty that the poses' covariances give them.
#ifndef TRUEPULL_DRIFT_SEAMS_H_
#define TRUEPULL_DRIFT_SEAMS_H_

#include <optional>
#include <span>
#include <vector>

#include "truepull/drift.h"

namespace truepull {

/// MeasureSeams, and each mean gap's sd when there is a covariance for each pose (else
/// an empty span). Errors of neighbours are taken to be independent, so a common error
/// of the frame makes the sd a little too large.
std::vector<Seam> MeasureSeamsWithSpread(const Plan& plan,
                                         std::span<const std::optional<Pose>> poses,
                                         std::span<const PoseCovariance> covariances);

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_SEAMS_H_
