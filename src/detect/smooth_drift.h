// SPDX-License-Identifier: Apache-2.0
// The drift that all pulls share, as a plane over the sheet: what to expect of a doubtful one.
#ifndef TRUEPULL_SRC_DETECT_SMOOTH_DRIFT_H_
#define TRUEPULL_SRC_DETECT_SMOOTH_DRIFT_H_

#include <array>
#include <vector>

#include "detect/edge_fit.h"
#include "truepull/geometry.h"

namespace truepull::detect {

/// dx, dy and turn, each k0 + k1 X + k2 Y over the sheet, with the hand's spread about it.
struct SmoothDrift {
  Point mean;                      // Where X = Y = 0, sheet mm; X, Y are in 100 mm.
  std::array<double, 9> k{};
  double sd_mm = 2;                // Robust spread about the plane, one axis.
  double sd_turn_rad = 0.03;

  Pose Predict(const Pose& expected) const;
  /// How far a pose lies from the prediction, in spreads (root mean square of shift and
  /// turn, so about 1.2 for an ordinary pull).
  double Off(const Pose& pose, const Pose& expected) const;
};

/// Robust (Cauchy) plane through found minus expected; pulls with ragged fits count less.
/// With few pulls the plane leans to no drift (0.5 sites' worth on its slopes).
SmoothDrift FitSmoothDrift(const std::vector<Pull>& pulls, const std::vector<Pose>& expected);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_SMOOTH_DRIFT_H_
