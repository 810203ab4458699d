// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <numbers>
#include <opencv2/imgproc.hpp>

#include "truepull/photo_faults.h"

namespace truepull::testing {
namespace {

// A sheet of 200 x 100 mm at 5 px to the mm, grey; a disc of light of 20 mm radius on it.
TEST(Glare, IsTheShareOfTheSheetThatIsBurntOut) {
  Sheet sheet;
  sheet.width_mm = 200, sheet.height_mm = 100;
  SheetCamera camera;
  camera.h = {5, 0, 50, 0, 5, 50, 0, 0, 1};
  camera.centre = {550, 300}, camera.focal_px = 800;
  cv::Mat photo(600, 1100, CV_8UC3, cv::Scalar(205, 210, 215));
  EXPECT_EQ(BurntOutShare(photo, camera, sheet), 0);
  cv::circle(photo, {500, 300}, 100, cv::Scalar::all(255), cv::FILLED);
  const double share = std::numbers::pi * 20 * 20 / (200 * 100);
  EXPECT_NEAR(BurntOutShare(photo, camera, sheet), share, 0.1 * share);
  // Light beside the sheet is none of its business; a bright yellow is a colour.
  cv::circle(photo, {500, 300}, 100, cv::Scalar(120, 255, 255), cv::FILLED);
  cv::rectangle(photo, {0, 0, 1100, 45}, cv::Scalar::all(255), cv::FILLED);
  EXPECT_EQ(BurntOutShare(photo, camera, sheet), 0);
}

}  // namespace
}  // namespace truepull::testing
