// SPDX-License-Identifier: Apache-2.0
// What the light along one pull's normals says of its edge and its neighbours' edges,
// given what the sheet as a whole has taught.
#ifndef TRUEPULL_SRC_DETECT_EDGE_EVIDENCE_H_
#define TRUEPULL_SRC_DETECT_EDGE_EVIDENCE_H_

#include <Eigen/Dense>
#include <array>
#include <vector>

#include "detect/edge_readings.h"

namespace truepull::detect {

/// What all pulls of a sheet share, learnt from them.
struct SheetInk {
  DepthShare share = DepthShare::Usual();
  Eigen::Matrix3d scatter;               // Of ln light where there is ink, by channel.
  double bare = 0.15;                    // Variance of bare paper beside that of ink.
  double sigma_mm = 0.22;                // Blur of a step.
  double growth_mm = 0.05, growth_sd_mm = 0.05;   // Of the outline: the mean, and a pull about it.
  std::vector<PullLevels> levels;        // By pull; empty until learnt.
  SheetInk();
};

/// What one normal says: A and A e, e the shifts of its own edge and the neighbour's.
struct Observation {
  Eigen::Matrix2d info = Eigen::Matrix2d::Zero();
  Eigen::Vector2d score = Eigen::Vector2d::Zero();
  Eigen::RowVector4d own, other;         // d shift / d (x, y, turn, growth).
  int neighbour = -1;
  double share = 1;                      // Half where the seam is read from both sides.
  double weight = 0;                     // Robust, of the last solution.
  double residual = 0;                   // Own edge, mm, of the last solution.
};

/// One pull's evidence, and its part in what the sheet learns.
struct PullEvidence {
  std::vector<Observation> seen;
  double cost = 0;                       // Mean over the readings of -2 ln likelihood, less what it is without the pull;
                                         // only when asked for.
  PullLevels levels;
  Eigen::Matrix3d scatter = Eigen::Matrix3d::Zero();
  double scatter_n = 0;
  double own_size = 0, own_n = 0, bare_size = 0, bare_n = 0;   // Whitened squares.
  double blur_top = 0, blur_bottom = 0;                        // Newton step of sigma.
  std::array<double, DepthShare::kBins> share_top{}, share_bottom{};
};

struct EvidenceOptions {
  double sigma_mm = 0.22;
  double outwards_mm = 1.4;              // Reach along a normal; inwards 4.2 mm.
  Spacing spacing = Spacing::kFine;      // Of the normals; readings are further apart too unless fine.
  bool only_cost = false;                // Works out `cost` and nothing else.
  double level_prior = 8;                // Readings that a pull's typical levels are worth.
};

/// rough   This pull's scatter beside the sheet's (variance).
PullEvidence Weigh(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
                   const std::vector<Pull>& pulls, std::size_t i, const SheetInk& ink, double rough,
                   const EvidenceOptions& options);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_EDGE_EVIDENCE_H_
