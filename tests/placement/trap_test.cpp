// SPDX-License-Identifier: Apache-2.0
#include "truepull/trap.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace truepull {
namespace {

using ::testing::HasSubstr;

TEST(TrapFor, IsTwoPointThreeOrThreePointThreeSpreads) {
  EXPECT_NEAR(TrapFor(0.5, 0.95).width_mm, 1.163, 1e-3);
  EXPECT_NEAR(TrapFor(1, 0.95).factor, 2.326, 1e-3);
  EXPECT_NEAR(TrapFor(1, 0.99).factor, 3.290, 1e-3);
  EXPECT_GT(TrapFor(1, 0.95, 10).factor, 4);  // 2.911 sqrt 2: few sites, a wider trap.
}

TEST(TrappedOutline, SpreadsAndChokesARectangleByItsSides) {
  const Outline square{{0, 0}, {60, 0}, {60, 45}, {0, 45}};
  const auto spread = TrappedOutline(square, 0.5), choke = TrappedOutline(square, -0.5);
  ASSERT_TRUE(spread && choke);
  EXPECT_NEAR(SignedArea(*spread), 61 * 46, 1e-9);
  EXPECT_NEAR(SignedArea(*choke), 59 * 44, 1e-9);
  EXPECT_NEAR((*spread)[0].x, -0.5, 1e-9);
  EXPECT_NEAR((*spread)[0].y, -0.5, 1e-9);
  // The way round is kept.
  const Outline back{{0, 45}, {60, 45}, {60, 0}, {0, 0}};
  EXPECT_LT(SignedArea(*TrappedOutline(back, 0.5)), 0);
}

TEST(TrappedOutline, RefusesAChokeThatBreaksANeck) {
  // Two squares of 20 mm joined by a neck of 1.6 mm.
  const Outline bone{{0, 0}, {20, 0}, {20, 9.2}, {30, 9.2}, {30, 0}, {50, 0}, {50, 20}, {30, 20}, {30, 10.8}, {20, 10.8}, {20, 20}, {0, 20}};
  EXPECT_TRUE(TrappedOutline(bone, -0.7));
  const auto broken = TrappedOutline(bone, -0.9);
  ASSERT_FALSE(broken);
  EXPECT_THAT(broken.error().message, HasSubstr("removes a part narrower than 1.8 mm, near x 25.0, y 10.0 mm"));
  // A tongue that vanishes without parting anything is refused as well.
  const Outline tongue{{0, 0}, {20, 0}, {20, 9}, {32, 9}, {32, 10.4}, {20, 10.4}, {20, 20}, {0, 20}};
  EXPECT_FALSE(TrappedOutline(tongue, -0.8));
  EXPECT_FALSE(TrappedOutline(tongue, -11));
}

TEST(TrappedOutline, RefusesASpreadThatLeavesAHole) {
  // A ring with a slit of 1 mm: spread by 0.6 mm it closes round its bay.
  const Outline ring{{0, 0}, {40, 0}, {40, 40}, {20.5, 40}, {20.5, 30}, {30, 30}, {30, 10}, {10, 10}, {10, 30}, {19.5, 30}, {19.5, 40}, {0, 40}};
  const auto closed = TrappedOutline(ring, 0.6);
  ASSERT_FALSE(closed);
  EXPECT_THAT(closed.error().message, HasSubstr("leaves a hole"));
  EXPECT_TRUE(TrappedOutline(ring, 0.3));
}

}  // namespace
}  // namespace truepull
