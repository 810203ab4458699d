// SPDX-License-Identifier: Apache-2.0
#include "detect/marching.h"

#include <gtest/gtest.h>

#include <cmath>

namespace truepull::detect {
namespace {

TEST(ZeroLine, FollowsACircleBetweenThePixels) {
  cv::Mat value(60, 60, CV_32FC1);
  for (int y = 0; y < 60; ++y) {
    for (int x = 0; x < 60; ++x) value.at<float>(y, x) = static_cast<float>(20.3 - std::hypot(x - 30.2, y - 29.1));
  }
  const Outline line = ZeroLine(value, {30, 29});
  // Distance is all but linear between neighbouring pixels: 1 / (8 x 20) px off at most.
  for (const Point p : line) EXPECT_NEAR(std::hypot(p.x - 30.2, p.y - 29.1), 20.3, 0.007);
  EXPECT_NEAR(SignedArea(line), 3.14159265 * 20.3 * 20.3, 3);  // Clockwise: positive.
}

// Worked on paper: one pixel of 1 among -1: crossings half-way to its four neighbours.
TEST(ZeroLine, GoesRoundASinglePixel) {
  cv::Mat value(3, 3, CV_32FC1, cv::Scalar(-1));
  value.at<float>(1, 1) = 1;
  EXPECT_EQ(ZeroLine(value, {1, 1}), (Outline{{1, 0.5}, {1.5, 1}, {1, 1.5}, {0.5, 1}}));
}

TEST(ZeroLine, DoesNotCrossToWhatTouchesByACorner) {
  cv::Mat value(4, 4, CV_32FC1, cv::Scalar(-1));
  value.at<float>(1, 1) = value.at<float>(2, 2) = 1;
  EXPECT_EQ(ZeroLine(value, {1, 1}).size(), 4u);
}

}  // namespace
}  // namespace truepull::detect
