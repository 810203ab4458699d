// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <numbers>

#include "support/random.h"

namespace truepull::testing {
namespace {

const Outline kSquare{{0, 0}, {2, 0}, {2, 2}, {0, 2}};  // Clockwise as seen: y runs down.

TEST(SignedArea, IsPositiveForAClockwiseWalkAsSeen) {
  EXPECT_DOUBLE_EQ(SignedArea(kSquare), 4);
  Outline back(kSquare.rbegin(), kSquare.rend());
  EXPECT_DOUBLE_EQ(SignedArea(back), -4);
  EXPECT_EQ(SignedArea(Outline{}), 0);
}

TEST(SignedArea, KeepsItsDigitsFarFromTheOrigin) {
  Outline far;
  for (const Point& p : kSquare) far.push_back(p + Point{1e7, -1e7});
  EXPECT_NEAR(SignedArea(far), 4, 1e-8);
}

TEST(SignedArea, ChangesItsSignInTheMirror) {
  for (unsigned seed = 1; seed <= 100; ++seed) {
    Chance chance(seed);
    Outline tile = chance.Star(chance.Whole(3, 40));
    const double area = SignedArea(tile);
    for (Point& p : tile) p.x = -p.x;
    EXPECT_NEAR(SignedArea(tile), -area, 1e-9) << "seed " << seed;
  }
}

TEST(Centroid, IsTheCentreOfArea) {
  EXPECT_EQ(Centroid(kSquare), (Point{1, 1}));
  // An L of three unit squares at (0.5, 0.5), (1.5, 0.5), (0.5, 1.5): their mean is 5/6.
  const Point l = Centroid(Outline{{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2}});
  EXPECT_NEAR(l.x, 5.0 / 6, 1e-15);
  EXPECT_NEAR(l.y, 5.0 / 6, 1e-15);
  // No area: the mean of the points.
  EXPECT_EQ(Centroid(Outline{{0, 0}, {1, 0}, {5, 0}}), (Point{2, 0}));
}

TEST(Centroid, MovesWithTheOutline) {
  for (unsigned seed = 1; seed <= 100; ++seed) {
    Chance chance(seed);
    const Outline tile = chance.Star(chance.Whole(3, 40));
    const Pose pose = chance.PoseWithin(300);
    const Point moved = Centroid(Apply(pose, tile)), expected = Apply(pose, Centroid(tile));
    EXPECT_NEAR(moved.x, expected.x, 1e-9) << "seed " << seed;
    EXPECT_NEAR(moved.y, expected.y, 1e-9) << "seed " << seed;
  }
}

TEST(Perimeter, GoesAllTheWayRound) {
  EXPECT_DOUBLE_EQ(Perimeter(kSquare), 8);
  EXPECT_DOUBLE_EQ(Perimeter(Outline{{0, 0}, {3, 0}, {3, 4}}), 12);  // 3 + 4 + 5.
}

TEST(Radius, ReachesTheFurthestPoint) { EXPECT_DOUBLE_EQ(Radius(Outline{{1, 0}, {-3, 4}, {0, 2}}), 5); }

TEST(BoundingBox, TouchesAllSides) {
  const Box box = BoundingBox(Outline{{1, 7}, {-3, 4}, {0, -2}});
  EXPECT_EQ(box.left, -3);
  EXPECT_EQ(box.right, 1);
  EXPECT_EQ(box.top, -2);
  EXPECT_EQ(box.bottom, 7);
  EXPECT_EQ(box.Width(), 4);
  EXPECT_EQ(box.Height(), 9);
}

TEST(Contains, AgreesWithTheWindingAngle) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    Chance chance(seed);
    const Outline tile = chance.Star(chance.Whole(3, 25));
    const Point p = chance.PointWithin(35);
    if (std::abs(SignedDistance(tile, p)) < 1e-6) continue;
    // The slow way: the angles under which the edges are seen add up to one turn inside.
    double angle = 0;
    for (std::size_t i = 0; i < tile.size(); ++i) {
      const Point a = tile[i] - p, b = tile[(i + 1) % tile.size()] - p;
      angle += std::atan2(Cross(a, b), Dot(a, b));
    }
    EXPECT_EQ(Contains(tile, p), std::abs(angle) > std::numbers::pi) << "seed " << seed;
  }
}

TEST(SignedDistance, IsPositiveInside) {
  EXPECT_DOUBLE_EQ(SignedDistance(kSquare, {1, 0.25}), 0.25);
  EXPECT_DOUBLE_EQ(SignedDistance(kSquare, {1, -0.25}), -0.25);
  EXPECT_DOUBLE_EQ(SignedDistance(kSquare, {5, 6}), -5);  // Off the corner (2, 2): 3, 4, 5.
}

TEST(SampleOutline, PutsSamplesOnTheOutlineAtEvenSteps) {
  for (unsigned seed = 1; seed <= 50; ++seed) {
    Chance chance(seed);
    const Outline tile = chance.Star(chance.Whole(3, 25), 15, 20);
    const auto samples = SampleOutline(tile, 0.7, 0.5);
    EXPECT_NEAR(static_cast<double>(samples.size()), Perimeter(tile) / 0.7, 0.51) << "seed " << seed;
    const double step = Perimeter(tile) / static_cast<double>(samples.size());
    for (std::size_t k = 0; k < samples.size(); ++k) {
      EXPECT_NEAR(SignedDistance(tile, samples[k].at), 0, 1e-9) << "seed " << seed;
      EXPECT_NEAR(samples[k].along_mm, static_cast<double>(k) * step, 1e-9);
      EXPECT_NEAR(Norm(samples[k].outward), 1, 1e-12);
    }
  }
}

TEST(SampleOutline, PointsOutwardWhicheverWayTheOutlineRuns) {
  for (unsigned seed = 1; seed <= 50; ++seed) {
    Chance chance(seed);
    Outline tile = chance.Star(chance.Whole(20, 40), 18, 20);
    for (int way = 0; way < 2; ++way) {
      for (const EdgeSample& s : SampleOutline(tile, 1, 0.2)) {
        if (s.corner > 0) continue;
        EXPECT_FALSE(Contains(tile, s.at + 0.01 * s.outward)) << "seed " << seed;
        EXPECT_TRUE(Contains(tile, s.at - 0.01 * s.outward)) << "seed " << seed;
      }
      std::reverse(tile.begin(), tile.end());
    }
  }
}

TEST(SampleOutline, MarksSharpCornersOnly) {
  const auto square = SampleOutline(Outline{{0, 0}, {40, 0}, {40, 40}, {0, 40}}, 1, 2);
  int corners = 0;
  for (const EdgeSample& s : square) {
    const double x = std::min(s.at.x, 40 - s.at.x), y = std::min(s.at.y, 40 - s.at.y);
    const double to_corner = std::hypot(x, y);
    if (to_corner < 1.5) {
      EXPECT_EQ(s.corner, 1) << s.along_mm;
    } else if (to_corner > 2.5) {
      EXPECT_EQ(s.corner, 0) << s.along_mm;
    }
    corners += s.corner > 0 ? 1 : 0;
  }
  EXPECT_GT(corners, 0);
  Outline circle;
  for (int i = 0; i < 360; ++i) circle.push_back(Rotation(i * std::numbers::pi / 180) * Point(20, 0));
  for (const EdgeSample& s : SampleOutline(circle, 1, 2)) EXPECT_EQ(s.corner, 0);
}

}  // namespace
}  // namespace truepull::testing
