// SPDX-License-Identifier: Apache-2.0
// The plane that all pulls' drift lies about.
#include "detect/smooth_drift.h"

#include <gtest/gtest.h>

#include "support/random.h"

namespace truepull::testing {
namespace {

using detect::FitSmoothDrift;
using detect::Pull;
using detect::SmoothDrift;

std::vector<Pose> Ideal() {
  std::vector<Pose> poses;
  for (int r = 0; r < 5; ++r) {
    for (int c = 0; c < 6; ++c) poses.push_back({{60.0 + 60 * c, 50.0 + 45 * r}, 0});
  }
  return poses;
}

// Drift as the plane says: 1.5 mm right and 0.8 up in the middle, growing to the right.
Pose Moved(const Pose& ideal) {
  const double x = (ideal.at.x - 210) / 100, y = (ideal.at.y - 140) / 100;
  return {ideal.at + Point{1.5 + 1.2 * x - 0.3 * y, -0.8 + 0.4 * x + 0.9 * y}, ideal.turn_rad + 0.01};
}

std::vector<Pull> Pulls(const std::vector<Pose>& ideal) {
  std::vector<Pull> pulls(ideal.size());
  for (std::size_t i = 0; i < ideal.size(); ++i) {
    pulls[i].present = true;
    pulls[i].pose = Moved(ideal[i]);
    pulls[i].spread_mm = 0.1;
  }
  return pulls;
}

double WorstOff(const SmoothDrift& drift, const std::vector<Pose>& ideal) {
  double worst = 0;
  for (const Pose& p : ideal) worst = std::max(worst, Norm(drift.Predict(p).at - Moved(p).at));
  return worst;
}

TEST(SmoothDrift, RecoversAKnownPlane) {
  const std::vector<Pose> ideal = Ideal();
  const SmoothDrift drift = FitSmoothDrift(Pulls(ideal), ideal);
  // It leans a little to no drift (half a site's worth on the slopes).
  EXPECT_LT(WorstOff(drift, ideal), 0.06);
  EXPECT_NEAR(drift.Predict(ideal[7]).turn_rad, 0.01, 2e-4);
}

TEST(SmoothDrift, IsNotBentByThreeWildPulls) {
  const std::vector<Pose> ideal = Ideal();
  std::vector<Pull> pulls = Pulls(ideal);
  for (const std::size_t wild : {0U, 13U, 29U}) pulls[wild].pose.at = pulls[wild].pose.at + Point{14, -9};
  const SmoothDrift drift = FitSmoothDrift(pulls, ideal);
  EXPECT_LT(WorstOff(drift, ideal), 0.15);
  EXPECT_GT(drift.Off(pulls[13].pose, ideal[13]), 8);
  EXPECT_LT(drift.Off(pulls[14].pose, ideal[14]), 0.2);
}

TEST(SmoothDrift, TellsTheHandsSpread) {
  const std::vector<Pose> ideal = Ideal();
  Chance chance(5);
  std::vector<Pull> pulls = Pulls(ideal);
  for (Pull& p : pulls) p.pose.at = p.pose.at + chance.PointWithin(2.6);  // Uniform: sd 1.5.
  const SmoothDrift drift = FitSmoothDrift(pulls, ideal);
  EXPECT_NEAR(drift.sd_mm, 1.5, 0.5);
}

TEST(SmoothDrift, OfNoPullsIsNone) {
  const std::vector<Pose> ideal = Ideal();
  const SmoothDrift drift = FitSmoothDrift(std::vector<Pull>(ideal.size()), ideal);
  EXPECT_EQ(drift.Predict(ideal[3]), ideal[3]);
}

}  // namespace
}  // namespace truepull::testing
