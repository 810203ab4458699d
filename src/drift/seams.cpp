// SPDX-License-Identifier: Apache-2.0
// Seams measured: along its stretch of the net, each sample looks for its neighbour's edge.
#include "drift/seams.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "drift/seam_net.h"

namespace truepull {
namespace {

constexpr double kSlideMm = 8.0;     // How far along its edge a tile is followed.
constexpr double kShortestMm = 2.0;  // What must still face its neighbour.

// The gradient of the mean gap by each pose gives its spread.
double SpreadOfGap(const std::array<double, 3>& g, const PoseCovariance& c) {
  double v = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) v += g[i] * c[3 * i + j] * g[j];
  }
  return v;
}

}  // namespace

std::optional<Seam> SeamNet::Measure(const SeamLink& link, const Pose& a, const Pose& b) const {
  return Measure(link, a, b, nullptr, nullptr);
}

std::optional<Seam> SeamNet::Measure(const SeamLink& link, const Pose& a, const Pose& b,
                                     const PoseCovariance* ca, const PoseCovariance* cb) const {
  const TileKind& kind_a = KindAt(link.a);
  const TileKind& kind_b = KindAt(link.b);
  const Pose& plan_a = FacedUp(link.a);
  const Pose& plan_b = FacedUp(link.b);
  const Rotation turn_a(a.turn_rad), turn_b(b.turn_rad), back_b(-b.turn_rad);
  const Rotation ideal_a(plan_a.turn_rad), ideal_back_b(-plan_b.turn_rad);
  Seam seam;
  seam.a = sites_[link.a], seam.b = sites_[link.b];
  std::array<double, 3> by_a{}, by_b{};
  int count = 0;
  for (const SeamFacing& f : *link.facing) {
    const EdgeSample& s = kind_a.samples[f.sample];
    const Point arm_a = turn_a * s.at, normal = turn_a * s.outward;
    const auto hit = CrossingOf(kind_b, back_b * (a.at + arm_a - b.at), back_b * normal, f.along_b_mm, kSlideMm);
    const auto ideal_hit = CrossingOf(kind_b, ideal_back_b * (plan_a.at + ideal_a * s.at - plan_b.at),
                                      ideal_back_b * (ideal_a * s.outward), f.along_b_mm, kSeamReachMm + 1);
    if (!hit || !ideal_hit) continue;
    ++count;
    seam.mean_gap_mm += hit->gap;
    seam.ideal_gap_mm += ideal_hit->gap;
    if (std::abs(hit->gap) > std::abs(seam.worst_gap_mm)) seam.worst_gap_mm = hit->gap;
    const Point arm_b = turn_b * hit->at;
    seam.middle = seam.middle + a.at + arm_a + (0.5 * hit->gap) * normal;
    by_a[0] -= normal.x, by_a[1] -= normal.y, by_a[2] -= Cross(arm_a, normal);
    by_b[0] += normal.x, by_b[1] += normal.y, by_b[2] += Cross(arm_b, normal);
  }
  seam.length_mm = kind_a.Step() * count;
  if (seam.length_mm < kShortestMm) return std::nullopt;
  const double share = 1.0 / count;
  seam.mean_gap_mm *= share;
  seam.ideal_gap_mm *= share;
  seam.middle = share * seam.middle;
  for (double& g : by_a) g *= share;
  for (double& g : by_b) g *= share;
  if (ca != nullptr && cb != nullptr) {
    seam.sd_mean_gap_mm = std::sqrt(SpreadOfGap(by_a, *ca) + SpreadOfGap(by_b, *cb));
  }
  return seam;
}

std::vector<Seam> MeasureSeamsWithSpread(const Plan& plan,
                                         std::span<const std::optional<Pose>> poses,
                                         std::span<const PoseCovariance> covariances) {
  const SeamNet net(plan, poses);
  std::vector<Seam> seams;
  for (const SeamLink& link : net.links()) {
    if (link.b >= poses.size() || !poses[link.a] || !poses[link.b]) continue;
    const bool spread = !covariances.empty();
    if (auto seam = net.Measure(link, *poses[link.a], *poses[link.b], spread ? &covariances[link.a] : nullptr,
                                spread ? &covariances[link.b] : nullptr)) {
      seams.push_back(*seam);
    }
  }
  return seams;
}

std::vector<Seam> MeasureSeams(const Plan& plan, const std::vector<std::optional<Pose>>& poses) {
  return MeasureSeamsWithSpread(plan, poses, {});
}

}  // namespace truepull
