// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "truepull/site_colours.h"

namespace truepull {
namespace {

constexpr double kSharedMm = 1.0;

// Length of a's edge that lies within `gap` of b's. Both in one frame.
double SharedLength(const Outline& a, const Outline& b, double gap) {
  constexpr double kStep = 0.25;
  const Box box = BoundingBox(b);
  double shared = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const Point from = a[i], to = a[(i + 1) % a.size()];
    const double length = Norm(to - from);
    const int parts = std::max(1, static_cast<int>(std::ceil(length / kStep)));
    for (int k = 0; k < parts; ++k) {
      const Point p = from + ((k + 0.5) / parts) * (to - from);
      if (p.x < box.left - gap || p.x > box.right + gap || p.y < box.top - gap || p.y > box.bottom + gap) continue;
      if (std::abs(SignedDistance(b, p)) <= gap) shared += length / parts;
    }
  }
  return shared;
}

}  // namespace

std::vector<SitePair> TouchingSites(const Plan& plan, double gap_mm) {
  const std::vector<Site> sites = AllSites(plan.lattice);
  const auto n = static_cast<int>(sites.size());
  std::vector<Outline> outlines;
  std::vector<Box> boxes;
  std::vector<Pose> poses;
  double largest = 1;
  for (const Site& s : sites) {
    poses.push_back(IdealPose(plan.lattice, s));
    outlines.push_back(Apply(poses.back(), OutlineAt(plan, s)));
    boxes.push_back(BoundingBox(outlines.back()));
    largest = std::max({largest, boxes.back().Width(), boxes.back().Height()});
  }
  // Squares as large as a tile's box: neighbours lie in the same or the next one.
  std::map<std::pair<int, int>, std::vector<int>> squares;
  const auto square = [&](const Box& b) {
    return std::pair{static_cast<int>(std::floor(b.left / (largest + 1))), static_cast<int>(std::floor(b.top / (largest + 1)))};
  };
  for (int k = 0; k < n; ++k) squares[square(boxes[static_cast<std::size_t>(k)])].push_back(k);

  // Pairs that lie alike are measured once.
  const auto whole = [](double mm) { return std::llround(1e3 * mm); };
  std::map<std::tuple<std::size_t, std::size_t, long long, long long, long long, long long>, bool> known;
  std::vector<SitePair> pairs;
  const std::size_t members = plan.lattice.cell.size();
  for (int a = 0; a < n; ++a) {
    const auto ia = static_cast<std::size_t>(a);
    const auto [sx, sy] = square(boxes[ia]);
    for (int dx = -1; dx <= 1; ++dx) {
      for (int dy = -1; dy <= 1; ++dy) {
        const auto found = squares.find({sx + dx, sy + dy});
        if (found == squares.end()) continue;
        for (const int b : found->second) {
          if (b <= a) continue;
          const auto ib = static_cast<std::size_t>(b);
          const Box &p = boxes[ia], &q = boxes[ib];
          if (q.left > p.right + gap_mm || p.left > q.right + gap_mm || q.top > p.bottom + gap_mm || p.top > q.bottom + gap_mm) continue;
          const Point by = poses[ib].at - poses[ia].at;
          const auto key = std::tuple(static_cast<std::size_t>(sites[ia].column) % members,
                                      static_cast<std::size_t>(sites[ib].column) % members, whole(by.x), whole(by.y),
                                      std::llround(1e6 * poses[ia].turn_rad), std::llround(1e6 * poses[ib].turn_rad));
          const auto [it, fresh] = known.emplace(key, false);
          if (fresh) it->second = SharedLength(outlines[ia], outlines[ib], gap_mm) >= kSharedMm;
          if (it->second) pairs.emplace_back(a, b);
        }
      }
    }
  }
  std::sort(pairs.begin(), pairs.end());
  return pairs;
}

std::vector<SitePair> MatchingNeighbours(const Plan& plan) {
  std::vector<SitePair> out;
  const std::vector<Site> sites = AllSites(plan.lattice);
  for (const SitePair& p : TouchingSites(plan)) {
    const int a = PlannedColour(plan, sites[static_cast<std::size_t>(p.first)]);
    if (a >= 0 && a == PlannedColour(plan, sites[static_cast<std::size_t>(p.second)])) out.push_back(p);
  }
  return out;
}

}  // namespace truepull
