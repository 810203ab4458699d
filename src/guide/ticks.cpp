// SPDX-License-Identifier: Apache-2.0
// Register ticks: which two points of the outline, and which way they run.
#include <algorithm>
#include <array>
#include <limits>

#include "guide/site_marks.h"

namespace truepull {
namespace {

constexpr double kTickMm = 6.5;        // Outside the outline: 5-8 mm is read beside a hand.
constexpr double kTickFromMm = 2.5;    // Nearer than this ticks of one corner may meet.
constexpr double kLeastShare = 0.9;    // Of the greatest distance: costs 1/9 of the turn.
// Degrees off the line through both points. Straight on where nothing is in the way.
constexpr std::array<double, 7> kDirectionsDeg{0, 20, -20, 35, -35, 50, -50};

std::vector<Point> ConvexHull(std::span<const Point> outline) {  // Andrew 1979.
  std::vector<Point> p(outline.begin(), outline.end());
  std::sort(p.begin(), p.end(),
            [](Point a, Point b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  std::vector<Point> hull;
  for (int side = 0; side < 2; ++side) {
    const std::size_t start = hull.size();
    for (const Point q : p) {
      while (hull.size() >= start + 2 &&
             Cross(hull.back() - hull[hull.size() - 2], q - hull.back()) <= 0) {
        hull.pop_back();
      }
      hull.push_back(q);
    }
    hull.pop_back();
    std::reverse(p.begin(), p.end());
  }
  return hull;
}

struct Direction {
  Point to;
  double score = -1;
};

// The best way for a tick from `from`, away from `other`.
Direction ChooseDirection(Point from, Point other, const SiteShape& own,
                          std::span<const Segment> near) {
  const Point away = (1 / Norm(from - other)) * (from - other);
  Direction best;
  for (const double deg : kDirectionsDeg) {
    const Point d = Rotation(RadFromDeg(deg)) * away;
    const Segment outer{from + kTickFromMm * d, from + kTickMm * d};
    if (Contains(own.outline, outer.a) || Contains(own.outline, outer.b)) continue;
    double clearance = 3;  // Further away is no better.
    for (const Segment& s : own.edges) clearance = std::min(clearance, Distance(outer, s));
    for (const Segment& s : near) clearance = std::min(clearance, Distance(outer, s));
    const double score = clearance - 0.01 * std::abs(deg);  // Straight on when alike.
    if (score > best.score) best = {from + kTickMm * d, score};
  }
  if (best.score < 0) best.to = from + kTickMm * away;
  return best;
}

}  // namespace

std::vector<std::array<Point, 2>> TickPoints(std::span<const Point> outline) {
  const std::vector<Point> hull = ConvexHull(outline);
  std::vector<std::array<Point, 2>> pairs;
  double most = 0;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    for (std::size_t j = i + 1; j < hull.size(); ++j) most = std::max(most, Norm(hull[i] - hull[j]));
  }
  for (std::size_t i = 0; i < hull.size(); ++i) {
    for (std::size_t j = i + 1; j < hull.size(); ++j) {
      if (Norm(hull[i] - hull[j]) >= kLeastShare * most) pairs.push_back({hull[i], hull[j]});
    }
  }
  std::stable_sort(pairs.begin(), pairs.end(), [](const auto& a, const auto& b) {
    return Norm(a[0] - a[1]) > Norm(b[0] - b[1]) + 1e-9;
  });
  // Pairs that differ only a little are the same choice.
  std::vector<std::array<Point, 2>> out;
  for (const auto& p : pairs) {
    const bool new_pair = std::none_of(out.begin(), out.end(), [&](const auto& q) {
      const double same = std::max(Norm(p[0] - q[0]), Norm(p[1] - q[1]));
      const double swapped = std::max(Norm(p[0] - q[1]), Norm(p[1] - q[0]));
      return std::min(same, swapped) < 0.25 * most;
    });
    if (new_pair) out.push_back(p);
    if (out.size() == 3) break;
  }
  return out;
}

std::vector<SiteTick> ChooseTicks(std::span<const SiteShape> shapes, const GuideFrame& frame) {
  std::vector<SiteTick> out;
  for (const SiteShape& shape : shapes) {
    if (shape.placement.action == Action::kLeave) continue;
    std::array<SiteTick, 2> best;
    double best_score = -std::numeric_limits<double>::infinity();
    double preferred = 0;  // Pairs further apart first, when they are as clear.
    for (const auto& pair : TickPoints(shape.outline_in_tile)) {
      std::array<SiteTick, 2> ticks;
      double score = 0;
      for (std::size_t end = 0; end < 2; ++end) {
        const auto on_guide = [&](Point p) { return frame(Apply(shape.placement.place, p)); };
        const Point from = on_guide(pair[end]);
        const double reach = kTickMm + 3;
        std::vector<Segment> near;
        for (const SiteShape& other : shapes) {
          if (&other == &shape || from.x < other.box.left - reach ||
              from.x > other.box.right + reach || from.y < other.box.top - reach ||
              from.y > other.box.bottom + reach) {
            continue;
          }
          for (const Segment& s : other.edges) {
            if (Distance(from, s) < reach) near.push_back(s);
          }
        }
        for (const SiteTick& t : out) {
          if (Norm(t.from - from) < 2 * reach) near.push_back({t.from, t.to});
        }
        const Direction d = ChooseDirection(from, on_guide(pair[1 - end]), shape, near);
        ticks[end] = {shape.placement.site, pair[end], from, d.to};
        score += d.score;
      }
      score -= preferred;
      preferred += 0.5;
      if (score > best_score) best = ticks, best_score = score;
    }
    out.insert(out.end(), best.begin(), best.end());
  }
  return out;
}

}  // namespace truepull
