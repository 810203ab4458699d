// SPDX-License-Identifier: Apache-2.0
// Hotelling's test, error ellipses and tolerance factors against printed values.
#include "truepull/shift_test.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/published.h"

namespace truepull::testing {
namespace {

// Johnson and Wichern, example 5.2: T2 = 9.74 against (4, 50, 10), critical 8.18 at 10 %.
TEST(HotellingTest, GivesTheTextbooksPerspirationExample) {
  const auto rows = PublishedRows("sweat.csv");
  ASSERT_EQ(rows.size(), 20u);
  const ShiftTest test = HotellingOneSample(rows, std::vector<double>{4, 50, 10});
  EXPECT_NEAR(test.t2, 9.73877, 5e-6);
  EXPECT_NEAR(test.f, 2.90455, 5e-6);
  EXPECT_NEAR(test.p, 0.064928, 5e-7);
  EXPECT_NEAR(HotellingLimit(20, 3, 0.90), 8.17257, 5e-6);
  EXPECT_NEAR(HotellingOneSample(rows, std::vector<double>{4, 48, 11}).t2, 8.69615, 5e-6);
}

TEST(HotellingTest, TellsAShiftInThePlaneFromZero) {
  std::vector<std::vector<double>> rows;
  for (const auto& r : PublishedRows("sweat.csv")) rows.push_back({r[0] - 4, r[1] - 50});
  const ShiftTest test = HotellingOneSample(rows, std::vector<double>{0, 0});
  EXPECT_NEAR(test.t2, 8.49147, 5e-6);
  EXPECT_NEAR(test.f, 4.02227, 5e-6);
  EXPECT_NEAR(test.p, 0.035975, 5e-7);
  EXPECT_GT(test.t2, HotellingLimit(20, 2, 0.95));
  EXPECT_LT(test.t2, HotellingLimit(20, 2, 0.99));
}

// Johnson and Wichern, example 5.1: rows (6,9) (10,6) (8,3) against (9,5) give 7/9.
TEST(HotellingTest, GivesTheSmallExampleExactly) {
  const ShiftTest test = HotellingOneSample({{6, 9}, {10, 6}, {8, 3}}, std::vector<double>{9, 5});
  EXPECT_NEAR(test.t2, 7.0 / 9.0, 1e-12);
}

TEST(HotellingTest, HasTheKnownLimitsInTwoDimensions) {
  const std::pair<int, double> limits[] = {{5, 25.4723}, {10, 10.0327}, {15, 8.1966}, {20, 7.5041}, {30, 6.9194}, {50, 6.5144}, {100, 6.2415}};
  for (const auto& [n, limit] : limits) EXPECT_NEAR(HotellingLimit(n, 2, 0.95), limit, 5e-5) << n;
  EXPECT_NEAR(HotellingLimit(20, 2, 0.99), 12.6939, 5e-5);
}

TEST(HotellingTest, SaysNothingOfTooFewValues) {
  EXPECT_EQ(HotellingOneSample({{1, 2}, {3, 4}}, std::vector<double>{0, 0}).p, 1);
}

// For two axes P(r < k sigma) = 1 - exp(-k^2 / 2), so r / sigma = sqrt(-2 ln(1 - P)).
TEST(ErrorEllipse, HoldsTheShareItShould) {
  const std::pair<double, double> radii[] = {{0.3934693403, 1}, {0.5, 1.177410}, {0.6321205588, 1.414214}, {0.9, 2.145966}, {0.95, 2.447747}, {0.99, 3.034854}};
  for (const auto& [share, radius] : radii) EXPECT_NEAR(EllipseFor({1, 0, 0, 1}, share).major, radius, 5e-7) << share;
  EXPECT_NEAR(ChiSquareQuantile(0.95, 2), 5.991465, 5e-7);
  EXPECT_NEAR(ChiSquareQuantile(0.99, 2), 9.210340, 5e-7);
}

// S = [4 1.5; 1.5 1]: eigenvalues 2.5 +- sqrt(1.5^2 + 1.5^2), major axis at 22.5 degrees.
TEST(ErrorEllipse, HasTheAxesOfAWorkedExample) {
  const ErrorEllipse e = EllipseFor({4, 1.5, 1.5, 1}, 0.95);
  EXPECT_NEAR(e.major, 5.262, 5e-4);
  EXPECT_NEAR(e.minor, 1.506, 5e-4);
  EXPECT_NEAR(e.turn_rad * 180 / std::numbers::pi, 22.5, 1e-9);
}

}  // namespace
}  // namespace truepull::testing
