// SPDX-License-Identifier: Apache-2.0
// The plate's inner picture (scratches, carved lines), averaged over the pulls, and each
// pull's pose against it.
//
// Every pull of one plate carries the same drawing, as bare scratches or as dark lines.
// High-passed densities of all pulls, each in its tile frame at its present pose, have
// the drawing as their first principal component (its sign and strength differ from pull
// to pull; mottling does not repeat). Each pull is then moved so that it agrees best
// with the picture made from the *other* pulls.
#ifndef TRUEPULL_SRC_DETECT_INNER_PICTURE_H_
#define TRUEPULL_SRC_DETECT_INNER_PICTURE_H_

#include <array>
#include <vector>

#include "detect/edge_fit.h"
#include "detect/paper_light.h"

namespace truepull::detect {

/// What the inner picture says of one pull.
struct InnerFit {
  bool used = false;
  Pose pose;                      // Where the picture puts the pull.
  PoseCovariance covariance{};    // Of that, apart from the picture's own offset.
  double agreement = 0;           // Correlation with the others' picture, -1..1.
};

struct InnerOptions {
  double cell_mm = 0.4;
  double clear_mm = 2.6;          // Only deeper inside: clear of the drawn edge.
  double smooth_mm = 0.25;        // Low-pass; wide for a first, coarse alignment.
  double search_mm = 0;           // Try shifts this far around the present pose first.
  double search_turn_rad = 0;
};

/// Fits every present pull of one plate (those with pull.shape == shape). `trusted[i]`
/// says which pulls make the picture; all present ones are fitted.
std::vector<InnerFit> FitInnerPicture(const Photo& photo, const SheetCamera& camera,
                                      const PaperLight& paper, const PlateShape& shape,
                                      const std::vector<Pull>& pulls,
                                      const std::vector<char>& trusted,
                                      const InnerOptions& options);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_INNER_PICTURE_H_
