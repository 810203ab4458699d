// SPDX-License-Identifier: Apache-2.0
// The paper's white is found between the pulls, whatever the light does.
#include "detect/paper_light.h"

#include <gtest/gtest.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "support/made_plans.h"

namespace truepull::testing {
namespace {

using detect::Light;
using detect::LightSheet;
using detect::LitSheet;

constexpr double kPxPerMm = 4;
constexpr double kRim = 40;  // px of table all round.

int SrgbFromLinear(double linear) {
  const double c = linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
  return static_cast<int>(std::lround(255 * c));
}

SheetCamera SquareOn() {
  SheetCamera camera;
  camera.h = {kPxPerMm, 0, kRim, 0, kPxPerMm, kRim, 0, 0, 1};
  camera.centre = {kRim + 300, kRim + 200};
  camera.focal_px = 1000;
  return camera;
}

// Linear light of bare paper: falls off to one side and into a corner, and is warm.
Light PaperAt(Point p) {
  const double fall = 0.75 - 0.0012 * p.x - 0.0000090 * p.y * p.y;
  return {static_cast<float>(0.85 * fall), static_cast<float>(0.94 * fall), static_cast<float>(fall)};
}

// A photo of the plan printed flat, `ink` the share of light that a pull leaves (1: none).
Photo Picture(const Plan& plan, double ink) {
  Photo photo;
  photo.name = "drawn.jpg";
  photo.bgr.create(static_cast<int>(plan.sheet.height_mm * kPxPerMm + 2 * kRim),
                   static_cast<int>(plan.sheet.width_mm * kPxPerMm + 2 * kRim), CV_8UC3);
  photo.bgr.setTo(cv::Scalar(40, 40, 40));
  const SheetCamera camera = SquareOn();
  std::vector<Outline> pulls;
  for (const Site site : AllSites(plan.lattice)) pulls.push_back(Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site)));
  for (int j = 0; j < photo.bgr.rows; ++j) {
    for (int i = 0; i < photo.bgr.cols; ++i) {
      const Point p = camera.SheetFromPhoto({static_cast<double>(i), static_cast<double>(j)});
      if (p.x < 0 || p.y < 0 || p.x > plan.sheet.width_mm || p.y > plan.sheet.height_mm) continue;
      bool inked = false;
      for (const Outline& o : pulls) inked = inked || Contains(o, p);
      const Light light = PaperAt(p);
      for (int c = 0; c < 3; ++c) {
        // Blue ink: takes most from red.
        const double left = inked ? std::pow(ink, 1 + c) : 1;
        photo.bgr.at<cv::Vec3b>(j, i)[c] =
            static_cast<uchar>(SrgbFromLinear(left * static_cast<double>(light[static_cast<std::size_t>(c)])));
      }
    }
  }
  return photo;
}

double WorstShareOff(const LitSheet& lit, const Plan& plan) {
  double worst = 0;
  for (double x = 4; x < plan.sheet.width_mm; x += 8) {
    for (double y = 4; y < plan.sheet.height_mm; y += 8) {
      const Light found = lit.paper.At({x, y}), truth = PaperAt({x, y});
      for (std::size_t c = 0; c < 3; ++c) worst = std::max(worst, std::abs(static_cast<double>(found[c] / truth[c]) - 1));
    }
  }
  return worst;
}

TEST(PaperLight, FollowsAGradientUnderTouchingPulls) {
  const Plan plan = RectanglesOn(150, 110, 2, 3, 36, 34);
  const LitSheet lit = LightSheet(Picture(plan, 0.5), SquareOn(), plan);
  // 4 %: the paper is seen only round the block of pulls, the middle is carried over.
  EXPECT_LT(WorstShareOff(lit, plan), 0.04);
  // Mean of the channels in the sheet's middle; the light there is near its median.
  EXPECT_NEAR(lit.paper_level, 0.93 * (0.75 - 0.0012 * 75 - 0.0000090 * 55 * 55), 0.05);
}

TEST(PaperLight, IsTheWholeSheetsWhenNothingIsPrinted) {
  const Plan plan = RectanglesOn(150, 110, 2, 3, 36, 34);
  const LitSheet lit = LightSheet(Picture(plan, 1), SquareOn(), plan);
  EXPECT_LT(WorstShareOff(lit, plan), 0.02);
  cv::Scalar mean = cv::mean(lit.map.density);
  EXPECT_NEAR(mean[0], 0, 0.01);
}

TEST(PaperLight, GivesPullsTheirOwnDensityAcrossTheGradient) {
  const Plan plan = RectanglesOn(150, 110, 2, 3, 36, 34);
  const LitSheet lit = LightSheet(Picture(plan, 0.5), SquareOn(), plan);
  // The map holds the mean of the channels' shares of the paper's white.
  const double expected = -std::log((0.5 + 0.25 + 0.125) / 3);
  for (const Site site : AllSites(plan.lattice)) {
    const Point p = IdealPose(plan.lattice, site).at;
    EXPECT_NEAR(static_cast<double>(lit.map.density.at<float>(static_cast<int>(p.y * lit.map.px_per_mm),
                                                              static_cast<int>(p.x * lit.map.px_per_mm))),
                expected, 0.04)
        << SiteLabel(site);
  }
}

}  // namespace
}  // namespace truepull::testing
