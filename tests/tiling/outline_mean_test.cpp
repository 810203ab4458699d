// SPDX-License-Identifier: Apache-2.0
#include "truepull/outline_mean.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tiling/handed_in.h"

namespace truepull {
namespace {

using testing_shapes::CutOnce;
using testing_shapes::FarthestFrom;
using testing_shapes::ShiftTile;

TEST(MeanOutline, LaysTurnedTracingsOntoTheFirstExactly) {
  std::mt19937 random(3);
  const Outline tile = ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random);
  const OutlineMean mean = MeanOutline(std::vector<Outline>{tile, Apply(Pose{{140, -30}, 2.5}, tile), Apply(Pose{{-12, 80}, -1.1}, tile)});
  ASSERT_EQ(mean.rms_mm.size(), 3u);
  EXPECT_LT(mean.rms_mm[1], 1e-6);
  EXPECT_LT(mean.rms_mm[2], 1e-6);
  EXPECT_LT(FarthestFrom(mean.outline, tile), 1e-6);
  EXPECT_NEAR(SignedArea(mean.outline), SignedArea(tile), 1e-4);
}

double RmsFrom(const Outline& a, const Outline& b) {
  double squares = 0;
  for (const Point& p : a) squares += std::pow(SignedDistance(b, p), 2);
  return std::sqrt(squares / static_cast<double>(a.size()));
}

TEST(MeanOutline, OfFourTracingsIsTwiceAsGoodAsOne) {
  std::mt19937 random(4);
  const Outline tile = ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random);
  double one = 0, four = 0;
  for (int round = 0; round < 8; ++round) {
    std::vector<Outline> traced;
    for (int k = 0; k < 4; ++k) traced.push_back(Apply(Pose{{k * 20.0, 0}, 0.7 * k}, CutOnce(tile, 0.05, random)));
    one += std::pow(RmsFrom(traced[0], tile), 2);
    four += std::pow(RmsFrom(MeanOutline(traced).outline, tile), 2);
  }
  // Errors that do not know of one another: 1 / sqrt(4), a little more for where the first lay.
  EXPECT_LT(std::sqrt(four / one), 0.65);
  EXPECT_GT(std::sqrt(four / one), 0.35);
}

TEST(MeanOutline, ShowsThatATracingIsOfAnotherTile) {
  std::mt19937 random(5);
  const Outline tile = ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random), other = ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random);
  EXPECT_GT(MeanOutline(std::vector<Outline>{tile, other}).rms_mm[1], 1);
}

}  // namespace
}  // namespace truepull
