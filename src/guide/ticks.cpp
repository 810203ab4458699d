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
constexpr double kEnoughMm = 1.5;      // Nearer, two lines run together at arm's length.
// A tick that carries on the line through both points is plainly that tile's: it is
// turned by 20 degrees only to gain 0.6 mm of clearance.
constexpr double kPerDegree = 0.03;
// Degrees off the line through both points.
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
    // Further away than enough is no better.
    const double clearance = Clearance(outer, near, Clearance(outer, own.edges, kEnoughMm));
    const double score = clearance - kPerDegree * std::abs(deg);
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

namespace {

using Ticks = std::array<SiteTick, 2>;

struct Choice {
  Ticks ticks;
  double score = 0;  // Of the worse of the two.
};

// The ticks of one shape on one pair of its points, clear of outlines and ticks so far.
Choice TicksOn(const std::array<Point, 2>& pair, const SiteShape& shape,
               std::span<const SiteShape> shapes, std::span<const SiteTick> so_far,
               const GuideFrame& frame) {
  Choice out;
  out.score = std::numeric_limits<double>::infinity();
  for (std::size_t end = 0; end < 2; ++end) {
    const auto on_guide = [&](Point p) { return frame(Apply(shape.placement.place, p)); };
    const Point from = on_guide(pair[end]);
    const double reach = kTickMm + kEnoughMm;
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
    for (const SiteTick& t : so_far) {
      if (Norm(t.from - from) < 2 * reach) near.push_back({t.from, t.to});
    }
    const Direction d = ChooseDirection(from, on_guide(pair[1 - end]), shape, near);
    out.ticks[end] = {shape.placement.site, pair[end], from, d.to};
    out.score = std::min(out.score, d.score);
  }
  return out;
}

}  // namespace

std::vector<SiteTick> ChooseTicks(std::span<const SiteShape> shapes, const GuideFrame& frame) {
  // The same pair at every site, so that the eye learns where to look: the one that is
  // clearest over the whole sheet. A site leaves it only where its ticks would be lost.
  constexpr double kLost = 0.3, kGain = 0.5;
  std::vector<std::vector<std::array<Point, 2>>> pairs;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    const bool as_before = i > 0 && shapes[i].outline_in_tile == shapes[i - 1].outline_in_tile;
    pairs.push_back(as_before ? pairs.back() : TickPoints(shapes[i].outline_in_tile));
  }
  std::vector<SiteTick> best;
  double best_sum = -std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < 3; ++k) {
    std::vector<SiteTick> ticks;
    double sum = 0;
    for (std::size_t i = 0; i < shapes.size(); ++i) {
      if (shapes[i].placement.action == Action::kLeave) continue;
      const auto& own = pairs[i];
      Choice choice = TicksOn(own[std::min(k, own.size() - 1)], shapes[i], shapes, ticks, frame);
      for (std::size_t other = 0; choice.score < kLost && other < own.size(); ++other) {
        const Choice c = TicksOn(own[other], shapes[i], shapes, ticks, frame);
        if (c.score > choice.score + kGain) choice = c;
      }
      sum += choice.score;
      ticks.insert(ticks.end(), choice.ticks.begin(), choice.ticks.end());
    }
    if (sum > best_sum + 1e-6) best = std::move(ticks), best_sum = sum;
  }
  return best;
}

}  // namespace truepull
