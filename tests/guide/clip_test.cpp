// SPDX-License-Identifier: Apache-2.0
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "truepull/guide.h"

namespace truepull {
namespace {

bool Inside(const Box& b, Point p, double slack) {
  return p.x >= b.left - slack && p.x <= b.right + slack && p.y >= b.top - slack && p.y <= b.bottom + slack;
}

double Length(const PathMark& path) {
  double sum = 0;
  for (std::size_t i = 0; i + (path.closed ? 0 : 1) < path.points.size(); ++i) {
    sum += Norm(path.points[(i + 1) % path.points.size()] - path.points[i]);
  }
  return sum;
}

TEST(ClipMark, KeepsOfALineWhatLiesInTheBox) {
  // Oracle: the line in steps of 0.01 mm, counted inside.
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> place(-30, 30);
  const Box box{-10, -7, 12, 9};
  for (int round = 0; round < 60; ++round) {
    PathMark path;
    for (int i = 0; i < 5; ++i) path.points.push_back({place(random), place(random)});
    path.closed = round % 2 == 0;
    double kept = 0;
    for (const Mark& part : ClipMark({MarkRole::kOutline, "site-0-0", path}, box)) {
      EXPECT_EQ(part.group, "site-0-0");
      for (const Point p : std::get<PathMark>(part.what).points) EXPECT_TRUE(Inside(box, p, 1e-9));
      kept += Length(std::get<PathMark>(part.what));
    }
    double expected = 0;
    const std::size_t n = path.points.size();
    for (std::size_t i = 0; i < (path.closed ? n : n - 1); ++i) {
      const Point a = path.points[i], d = path.points[(i + 1) % n] - a;
      const int steps = static_cast<int>(Norm(d) / 0.01);
      for (int k = 0; k < steps; ++k) {
        if (Inside(box, a + ((k + 0.5) / steps) * d, 0)) expected += Norm(d) / steps;
      }
    }
    EXPECT_NEAR(kept, expected, 0.1) << round;
  }
}

TEST(ClipMark, LeavesAWholeLineAsItIs) {
  const PathMark path{{{0, 0}, {1, 0}, {1, 1}}, true, false, Ink::kBlack, 0.3, Dash::kFull, {}};
  const auto parts = ClipMark({MarkRole::kOutline, "", path}, {-1, -1, 2, 2});
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_TRUE(std::get<PathMark>(parts[0].what).closed);
}

TEST(ClipMark, CutsAFilledShapeToItsShareOfTheBox) {
  // A square of 4 x 4 of which the box shows the right half's lower quarter: 2 x 1.
  const PathMark path{{{0, 0}, {4, 0}, {4, 4}, {0, 4}}, true, true, Ink::kBlack, 0, Dash::kFull, {}};
  const auto parts = ClipMark({MarkRole::kSign, "", path}, {2, 3, 9, 9});
  ASSERT_EQ(parts.size(), 1u);
  EXPECT_NEAR(std::abs(SignedArea(std::get<PathMark>(parts[0].what).points)), 2, 1e-12);
  EXPECT_TRUE(ClipMark({MarkRole::kSign, "", path}, {5, 5, 9, 9}).empty());
}

TEST(ClipMark, LeavesOutWordsThatDoNotFitWhole) {
  TextMark text;
  text.text = "A1";
  text.at = {0, 0};
  text.cap_mm = 5;
  EXPECT_EQ(ClipMark({MarkRole::kLabel, "", text}, {-1, -6, 30, 3}).size(), 1u);
  EXPECT_TRUE(ClipMark({MarkRole::kLabel, "", text}, {1, -6, 30, 3}).empty());
}

}  // namespace
}  // namespace truepull
