// SPDX-License-Identifier: Apache-2.0
#include "drift/tile_kind.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr double kStepMm = 0.7;
constexpr double kSmoothMm = 0.3;  // Small, so that normals near corners stay true.
constexpr double kFacing = -0.8;   // Cosine between the two normals.

}  // namespace

TileKind::TileKind(Outline given) : outline(std::move(given)) {
  samples = SampleOutline(outline, kStepMm, kSmoothMm);
  middle = Centroid(outline);
  for (const Point p : outline) reach = std::max(reach, Norm(p - middle));
  side = SignedArea(outline) >= 0 ? 1 : -1;
  start.assign(outline.size() + 1, 0.0);
  for (std::size_t i = 0; i < outline.size(); ++i) {
    start[i + 1] = start[i] + Norm(outline[(i + 1) % outline.size()] - outline[i]);
  }
}

std::optional<EdgeCrossing> CrossingOf(const TileKind& b, Point at, Point normal, double along, double window) {
  std::optional<EdgeCrossing> best;
  const double length = b.start.back();
  const std::size_t n = b.outline.size();
  const auto try_edge = [&](std::size_t i) {
    const Point p = b.outline[i], e = b.outline[(i + 1) % n] - p;
    const Point outward = b.side * Point{e.y, -e.x};
    if (Dot(outward, normal) >= 0) return;  // It does not face us.
    const double across = Cross(normal, e);
    if (across == 0) return;
    const double t = Cross(normal, at - p) / across;
    if (t < -1e-9 || t > 1 + 1e-9) return;
    const Point hit = p + t * e;
    const double gap = Dot(hit - at, normal);
    if (!best || std::abs(gap) < std::abs(best->gap)) best = EdgeCrossing{gap, hit};
  };
  if (2 * window >= length) {
    for (std::size_t i = 0; i < n; ++i) try_edge(i);
    return best;
  }
  const double from = std::fmod(along - window + length, length);
  std::size_t i = static_cast<std::size_t>(
      std::upper_bound(b.start.begin(), b.start.end(), from) - b.start.begin());
  i = std::min(n - 1, i == 0 ? 0 : i - 1);
  double covered = b.start[i] - from;  // Not over zero.
  for (std::size_t k = 0; k < n && covered < 2 * window; ++k, i = (i + 1) % n) {
    try_edge(i);
    covered += b.start[i + 1] - b.start[i];
  }
  return best;
}

std::vector<FacingSample> FaceUp(const TileKind& a, const TileKind& b, const Pose& b_in_a) {
  std::vector<FacingSample> facing;
  const std::size_t n = b.outline.size();
  const Rotation back(-b_in_a.turn_rad);
  for (std::size_t s = 0; s < a.samples.size(); ++s) {
    const EdgeSample& sample = a.samples[s];
    if (sample.corner > 0) continue;
    const Point at = ApplyInverse(b_in_a, sample.at);
    if (Norm(at - b.middle) > b.reach + kSeamReachMm) continue;
    const Point normal = back * sample.outward;
    double nearest = kSeamReachMm, along = -1;
    for (std::size_t i = 0; i < n; ++i) {
      const Point p = b.outline[i], e = b.outline[(i + 1) % n] - p;
      const double size = Norm(e);
      if (size <= 0) continue;
      const Point outward = (b.side / size) * Point{e.y, -e.x};
      if (Dot(outward, normal) > kFacing) continue;
      const double t = Dot(at - p, e) / (size * size);
      if (t < -1e-9 || t > 1 + 1e-9) continue;
      const double distance = Norm(at - p - t * e);
      if (distance < nearest) nearest = distance, along = b.start[i] + t * size;
    }
    if (along >= 0) facing.push_back({s, along, nearest});
  }
  return facing;
}

}  // namespace truepull
