// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <optional>

#include "support/random.h"

namespace truepull::testing {
namespace {

// The obvious way: every pair of edges that are not neighbours, in order, by exact
// orientation of whole numbers; neighbours only where they fold back.
std::optional<std::pair<std::size_t, std::size_t>> FirstCrossingSlowly(const Outline& o) {
  const std::size_t n = o.size();
  const auto side = [](Point a, Point b, Point c) {
    const double t = Cross(b - a, c - a);
    return (t > 0) - (t < 0);
  };
  const auto within = [](Point a, Point b, Point p) {
    return std::min(a.x, b.x) <= p.x && p.x <= std::max(a.x, b.x) && std::min(a.y, b.y) <= p.y &&
           p.y <= std::max(a.y, b.y);
  };
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      const Point a = o[i], b = o[(i + 1) % n], c = o[j], d = o[(j + 1) % n];
      bool meet = false;
      if (j == i + 1 || (i == 0 && j == n - 1)) {
        const Point joint = j == i + 1 ? b : a, p = j == i + 1 ? a : b, q = j == i + 1 ? d : c;
        meet = side(p, joint, q) == 0 && Dot(joint - p, q - joint) < 0;
      } else {
        const int s1 = side(c, d, a), s2 = side(c, d, b), s3 = side(a, b, c), s4 = side(a, b, d);
        meet = (s1 * s2 < 0 && s3 * s4 < 0) || (s1 == 0 && within(c, d, a)) || (s2 == 0 && within(c, d, b)) ||
               (s3 == 0 && within(a, b, c)) || (s4 == 0 && within(a, b, d));
      }
      if (meet) return std::pair(i, j);
    }
  }
  return std::nullopt;
}

TEST(FindSelfCrossing, FindsTheKnotOfABowTie) {
  const auto found = FindSelfCrossing(Outline{{0, 0}, {2, 2}, {2, 0}, {0, 2}});
  ASSERT_TRUE(found);
  EXPECT_EQ(found->first_edge, 0u);
  EXPECT_EQ(found->second_edge, 2u);
  EXPECT_EQ(found->at, (Point{1, 1}));
}

TEST(FindSelfCrossing, CallsTouchingAndFoldingCrossings) {
  // The point (1, 0) of the notch touches the edge from (0, 0) to (2, 0).
  EXPECT_TRUE(FindSelfCrossing(Outline{{0, 0}, {2, 0}, {2, 2}, {1, 0}, {0, 2}}));
  // Out to (3, 0) and back along the same line.
  EXPECT_TRUE(FindSelfCrossing(Outline{{0, 0}, {3, 0}, {2, 0}, {2, 2}}));
}

TEST(FindSelfCrossing, LeavesPlainOutlinesAlone) {
  EXPECT_FALSE(FindSelfCrossing(Outline{{0, 0}, {2, 0}, {2, 2}, {0, 2}}));
  EXPECT_FALSE(FindSelfCrossing(Outline{{0, 0}, {1, 0}, {2, 0}, {2, 2}}));  // A point on a straight side.
  EXPECT_FALSE(FindSelfCrossing(Outline{{0, 0}, {1, 0}}));
  for (unsigned seed = 1; seed <= 100; ++seed) {
    Chance chance(seed);
    EXPECT_FALSE(FindSelfCrossing(chance.Star(chance.Whole(3, 200)))) << "seed " << seed;
  }
}

TEST(FindSelfCrossing, AgreesWithTryingEveryPair) {
  int crossing = 0;
  for (unsigned seed = 1; seed <= 3000; ++seed) {
    Chance chance(seed);
    // Whole numbers on a small board: touching, folding and shared points are common.
    Outline outline;
    for (int i = chance.Whole(3, 7); i > 0; --i) {
      const Point p{static_cast<double>(chance.Whole(0, 6)), static_cast<double>(chance.Whole(0, 6))};
      if (outline.empty() || !(p == outline.back())) outline.push_back(p);
    }
    if (outline.size() < 3 || outline.front() == outline.back()) continue;
    const auto slow = FirstCrossingSlowly(outline);
    const auto fast = FindSelfCrossing(outline);
    ASSERT_EQ(fast.has_value(), slow.has_value()) << "seed " << seed;
    if (!slow) continue;
    ++crossing;
    EXPECT_EQ(std::pair(fast->first_edge, fast->second_edge), *slow) << "seed " << seed;
  }
  EXPECT_GT(crossing, 500);  // Both kinds must have come up ...
  EXPECT_LT(crossing, 2900);
}

}  // namespace
}  // namespace truepull::testing
