// SPDX-License-Identifier: Apache-2.0
// What the photo shows along the normals of one pull's outline, and the local levels of
// ink that go with it.
#ifndef TRUEPULL_SRC_DETECT_EDGE_READINGS_H_
#define TRUEPULL_SRC_DETECT_EDGE_READINGS_H_

#include <Eigen/Dense>
#include <array>
#include <vector>

#include "detect/edge_fit.h"
#include "detect/paper_light.h"
#include "detect/plate_shape.h"
#include "truepull/camera.h"

namespace truepull::detect {

using Tone3 = Eigen::Vector3d;     // ln of light, by channel: blue, green, red.
/// The same beside a fourth that stays 0: one packet, so that all channels take the time of one.
using Tone4 = Eigen::Array4f;

constexpr float kCameraDark = 0.012f;   // The camera's own noise, share of paper white.

/// How ink changes with depth below the edge, common to all pulls of the sheet:
/// 1 = like the drawn edge, 0 = like the body.
struct DepthShare {
  static constexpr int kBins = 18;                // Of 0.25 mm from the edge inwards.
  static constexpr double kBin = 0.25;
  std::array<double, kBins> share{};
  double At(double depth_mm) const;
  double Slope(double depth_mm) const;            // Per mm.
  static DepthShare Usual();                      // 2 mm of edge, softly ended.
};

/// A pull's typical levels: tone of full cover over bare paper.
struct PullLevels {
  Tone3 edge = Tone3::Constant(-1.2), body = Tone3::Constant(-0.8);
  bool known = false;
};

/// Along one normal.
struct Normal {
  Eigen::RowVector4d own = Eigen::RowVector4d::Zero();     // d shift / d (x, y, turn, growth) of this pull.
  Eigen::RowVector4d other = Eigen::RowVector4d::Zero();   // The same of the neighbour.
  int neighbour = -1;                // The pull whose edge lies nearest; -1 = none in reach.
  double along_weight = 1;           // Less at corners.
  bool known = false;                // Wholly on the photo.
  Tone3 paper = Tone3::Zero(), edge, body, other_edge, other_body;   // Local levels.
};

/// The readings of one pull, [normal * count + j].
struct EdgeReadings {
  int count = 0;
  double spacing_mm = 0.5;               // Of the normals.
  std::vector<double> t;                 // Places along a normal, mm, outwards positive.
  std::vector<Normal> normals;
  std::vector<Tone4> tone, dark_tone;    // ln light and ln(light + kCameraDark); light in shares of paper white.
  std::vector<float> clear;              // light / (light + kCameraDark), the mean's; -1 = not on the photo.
  std::vector<float> depth1, depth2;     // Below the two nearest neighbours' edges, mm; -9 = none.
};

/// Reads the photo along every normal of pull i, the others where they are.
/// inwards, outwards   reach along a normal, mm; step mm. spacing: of the normals.
EdgeReadings ReadEdges(const PhotoSampler& sampler, const SheetCamera& camera, const PaperLight& paper,
                       const std::vector<Pull>& pulls, std::size_t i, double inwards_mm, double outwards_mm,
                       double step_mm, Spacing spacing);

/// A pull's typical levels from the readings that only it covers; `known` is false
/// where there are too few of them.
PullLevels TypicalLevels(const EdgeReadings& readings, double sigma_mm);

/// Local levels of every normal, by least squares over +-2.5 mm of edge on the readings
/// that lie clear of every edge, with the pulls' typical levels as
/// priors, each worth `prior` readings.
void FitLocalLevels(EdgeReadings& readings, const DepthShare& share, double sigma_mm, const PullLevels& own,
                    const std::vector<PullLevels>& all, double prior);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_EDGE_READINGS_H_
