// SPDX-License-Identifier: Apache-2.0
#include "truepull/rigid_move.h"

#include <algorithm>
#include <cmath>

#include "geometry/median.h"

namespace truepull {
namespace {

constexpr double kBiweight = 4.685;  // 95 % as good as least squares on normal errors.
// No distance under this is wild, however even the rest: a careful hand's own spread.
constexpr double kLeastScaleMm = 0.3 / kBiweight;

RigidMove Weighted(std::span<const Point> from, std::span<const Point> to, const std::vector<double>& weights) {
  double sum = 0;
  Point a, b;
  for (std::size_t i = 0; i < from.size(); ++i) sum += weights[i], a = a + weights[i] * from[i], b = b + weights[i] * to[i];
  RigidMove out;
  if (sum <= 0) return out;
  a = (1 / sum) * a, b = (1 / sum) * b;
  double dot = 0, cross = 0, reach = 0;
  for (std::size_t i = 0; i < from.size(); ++i) {
    dot += weights[i] * Dot(from[i] - a, to[i] - b);
    cross += weights[i] * Cross(from[i] - a, to[i] - b);
    reach = std::max(reach, Norm(from[i] - a));
  }
  out.centre = a;
  out.shift = b - a;
  if (reach > 1) out.turn_rad = std::atan2(cross, dot);  // Nearer than 1 mm: no turn to be told.
  return out;
}

}  // namespace

Point Apply(const RigidMove& m, Point p) { return m.centre + m.shift + Rotation(m.turn_rad) * (p - m.centre); }

Pose Apply(const RigidMove& m, const Pose& pose) { return {Apply(m, pose.at), WrapTurn(pose.turn_rad + m.turn_rad)}; }

Point ApplyInverse(const RigidMove& m, Point p) { return m.centre + Rotation(-m.turn_rad) * (p - m.centre - m.shift); }

RigidMove FitRigidMove(std::span<const Point> from, std::span<const Point> to) {
  if (from.empty()) return {};
  std::vector<double> weights(from.size(), 1.0);
  RigidMove move = Weighted(from, to, weights);
  if (from.size() < 4) return move;
  // Begin with least absolute distances, so that wild ones do not set the scale.
  for (int k = 0; k < 60; ++k) {
    std::vector<double> left;
    for (std::size_t i = 0; i < from.size(); ++i) left.push_back(Norm(to[i] - Apply(move, from[i])));
    // The median distance in a plane is 1.1774 sd of one axis.
    const double scale = std::max(kLeastScaleMm, Median(left) / 1.1774);
    for (std::size_t i = 0; i < from.size(); ++i) {
      const double u = left[i] / (kBiweight * scale);
      weights[i] = k < 15 ? 1 / std::max(left[i], 1e-3) : u < 1 ? (1 - u * u) * (1 - u * u) : 0;
    }
    const RigidMove next = Weighted(from, to, weights);
    // Moves are told apart at the far end of the tiles, not about their own centres.
    double change = 0;
    for (const Point& p : from) change = std::max(change, Norm(Apply(next, p) - Apply(move, p)));
    move = next;
    if (k > 15 && change < 1e-10) break;
  }
  return move;
}

std::vector<BlockMove> PlaceBlocks(const Plan& plan, int rows, int columns,
                                   std::span<const std::optional<Pose>> impressions) {
  const std::vector<Site> sites = AllSites(plan.lattice);
  const int all_rows = plan.lattice.rows, all_columns = FileColumns(plan.lattice);
  const int r = rows > 0 ? rows : all_rows, c = columns > 0 ? columns : all_columns;
  const int across = (all_columns + c - 1) / c, down = (all_rows + r - 1) / r;
  std::vector<BlockMove> out(static_cast<std::size_t>(across * down));
  for (std::size_t i = 0; i < sites.size(); ++i) {
    out[static_cast<std::size_t>(sites[i].row / r * across + sites[i].column / c)].sites.push_back(i);
  }
  for (BlockMove& block : out) {
    std::vector<Point> from, to;
    std::vector<std::size_t> which;
    for (const std::size_t i : block.sites) {
      if (!impressions[i]) continue;
      const Point middle = Centroid(OutlineAt(plan, sites[i]));
      from.push_back(Apply(IdealPose(plan.lattice, sites[i]), middle));
      to.push_back(Apply(*impressions[i], middle));
      which.push_back(i);
    }
    block.impressions = static_cast<int>(from.size());
    block.move = FitRigidMove(from, to);
    double sum = 0;
    for (std::size_t k = 0; k < from.size(); ++k) {
      const double left = Norm(to[k] - Apply(block.move, from[k]));
      sum += left * left;
      if (left >= block.worst_left_mm) block.worst_left_mm = left, block.worst = sites[which[k]];
    }
    if (!from.empty()) block.mean_left_mm = std::sqrt(sum / static_cast<double>(from.size()));
  }
  return out;
}

}  // namespace truepull
