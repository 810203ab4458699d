// SPDX-License-Identifier: Apache-2.0
// How well a set of poses explains the light round one pull: the judge between starts.
//
// The fine fit looks 1.8 mm to each side of an edge and adapts its levels to what it
// finds there, so it can settle on a neighbour's drawn edge. This judge looks 4.5 mm
// deep and holds every tile to what all tiles of the sheet have in common: how the
// light changes with depth below the edge (drawn edge, then body; learnt from the
// sheet itself). A drawn edge at the wrong depth, ink outside every outline and bare
// paper inside one then cost.
#ifndef TRUEPULL_SRC_DETECT_EXPLAIN_H_
#define TRUEPULL_SRC_DETECT_EXPLAIN_H_

#include <array>
#include <vector>

#include "detect/edge_fit.h"
#include "detect/paper_light.h"

namespace truepull::detect {

/// Light below the edge as all tiles of the sheet show it on average.
struct DepthProfile {
  static constexpr int kSteps = 20;             // Of 0.25 mm from the edge inwards.
  static constexpr double kStep = 0.25;
  std::array<double, kSteps> share{};           // 1 = like the drawn edge, 0 = like the body.
};

/// A tile's own two levels, shares of paper white.
struct TileLevels {
  double edge = 0.4, body = 0.5;
  bool known = false;
  double At(const DepthProfile& profile, double depth_mm) const;
};

class Explain {
 public:
  Explain(const Photo& photo, const SheetCamera& camera, const PaperLight& paper)
      : photo_(photo), camera_(camera), paper_(paper) {}

  /// Learns the common profile and every tile's levels from the present poses.
  void Learn(const std::vector<Pull>& pulls);

  /// Mean squared light left unexplained round pull i if it lay at `pose`, the others as
  /// they are; residuals are capped, so that a smudge counts once.
  double Misfit(const std::vector<Pull>& pulls, std::size_t i, const Pose& pose) const;

 private:
  struct Sample {
    float light;
    float depth;       // Below one's own edge, mm; negative outside.
    float others;      // Light that the others would leave there, paper = 1.
    bool clear;        // No neighbour within reach.
  };
  std::vector<Sample> Look(const std::vector<Pull>& pulls, std::size_t i, const Pose& pose) const;

  const Photo& photo_;
  const SheetCamera& camera_;
  const PaperLight& paper_;
  DepthProfile profile_;
  std::vector<TileLevels> levels_;
};

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_EXPLAIN_H_
