// SPDX-License-Identifier: Apache-2.0
// The frame on rendered photos: error over the sheet and honesty of the stated spread.
#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>
#include <fmt/format.h>

#include "support/sheets.h"
#include "truepull/photo.h"
#include "truepull/render.h"

namespace truepull {
namespace {

struct Outcome {
  double rms_mm = 0;  // Per axis, over 81 places.
  double off_sd = 0;  // Root mean square over the stated standard deviation.
};

Outcome Measure(const RenderOptions& options) {
  const Plan plan = testing::DrawnRectangles();
  const auto rendered = RenderSheet(plan, options);
  if (!rendered) {
    ADD_FAILURE() << rendered.error().message;
    return {};
  }
  Photo photo;
  photo.name = "rendered.jpg";
  photo.bgr = rendered->bgr;
  const auto frame = FindSheet(photo, plan.sheet);
  if (!frame) {
    ADD_FAILURE() << "seed " << options.seed << ": " << frame.error().message;
    return {};
  }
  Outcome outcome;
  for (int i = 0; i < 81; ++i) {
    const Point mm{plan.sheet.width_mm * (i % 9) / 8, plan.sheet.height_mm * (i / 9) / 8};
    const Point off = frame->camera.SheetFromPhoto(rendered->camera.PhotoFromSheet(mm)) - mm;
    const auto c = PlaceCovariance(*frame, mm);
    const Eigen::Matrix2d covariance{{c[0], c[1]}, {c[2], c[3]}};
    const Eigen::Vector2d d(off.x, off.y);
    outcome.rms_mm += 0.5 * Dot(off, off) / 81;
    outcome.off_sd += 0.5 * d.dot(covariance.inverse() * d) / 81;
  }
  return {std::sqrt(outcome.rms_mm), std::sqrt(outcome.off_sd)};
}

RenderOptions Like(const char* kind, std::uint64_t seed) {
  auto options = OptionsLike(kind, seed);
  EXPECT_TRUE(options);
  options->width_px = 1600;
  options->height_px = 1200;
  return *options;
}

TEST(RenderedFrame, CostsAHundredthOfAMillimetreOnEasySheets) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const Outcome outcome = Measure(Like("easy", seed));
    EXPECT_LT(outcome.rms_mm, 0.01) << seed;
    EXPECT_LT(outcome.off_sd, 2) << seed;
  }
}

TEST(RenderedFrame, CostsThreeHundredthsOnTypicalSheetsThatLieFlat) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    RenderOptions options = Like("typical", seed);
    options.paper.cockle_mm = 0;
    const Outcome outcome = Measure(options);
    EXPECT_LT(outcome.rms_mm, 0.03) << seed;
    EXPECT_LT(outcome.off_sd, 2.5) << seed;
  }
}

TEST(RenderedFrame, SaysHonestlyWhatCockledPaperCosts) {
  double squares = 0;
  for (const std::uint64_t seed : {4U, 5U, 6U}) {
    const Outcome outcome = Measure(Like("hard", seed));
    EXPECT_LT(outcome.off_sd, 3.5) << seed;
    squares += outcome.off_sd * outcome.off_sd / 3;
  }
  EXPECT_LT(std::sqrt(squares), 2);
}

TEST(RenderedFrame, IsNotFooledByTapesTornSidesAndClutter) {
  RenderOptions options = Like("typical", 9);
  options.paper.cockle_mm = 0;
  options.paper.tapes = 4;
  options.paper.deckle_mm = 0.2;
  options.paper.dog_ear_corner = 2;
  options.table.clutter = 12;
  EXPECT_LT(Measure(options).rms_mm, 0.05);
}

TEST(RenderedFrame, TakesNoLineOfACheckedClothForASide) {
  for (const char* kind : {"easy", "hard"}) {
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
      RenderOptions options = Like(kind, seed);
      options.paper.cockle_mm = 0;
      options.table.look = TableLook::kCheck;
      EXPECT_LT(Measure(options).rms_mm, 0.1) << kind << " " << seed;
    }
  }
}

TEST(RenderedFrame, LooksThroughPrintThatRunsOffTheSheet) {
  for (const TableLook look : {TableLook::kCheck, TableLook::kStone}) {
    RenderOptions options = Like("easy", 3);
    options.sheet.shift_mm = {32, 0};  // The margin is 30 mm wide.
    options.ink.fade = 0.2;            // Some bare rim: a crisply inked one is refused.
    options.table.look = look;
    EXPECT_LT(Measure(options).rms_mm, 0.03);
  }
}

TEST(RenderedFrame, FollowsSidesBowedByAWideLens) {
  for (const std::uint64_t seed : {1U, 2U}) {
    RenderOptions options = Like("easy", seed);
    options.camera.focal_share = 0.6;
    options.camera.k1 = -0.16;  // -0.24 for the focal length that is guessed.
    options.camera.k2 = 0.05;
    EXPECT_LT(Measure(options).rms_mm, 0.03) << seed;
  }
}

TEST(RenderedFrame, RefusesTheTableAlone) {
  RenderOptions options = Like("hard", 2);
  options.table.no_sheet = true;
  options.table.clutter = 12;
  const auto rendered = RenderSheet(testing::DrawnRectangles(), options);
  ASSERT_TRUE(rendered);
  Photo photo;
  photo.name = "table.jpg";
  photo.bgr = rendered->bgr;
  const auto frame = FindSheet(photo, testing::DrawnRectangles().sheet);
  ASSERT_FALSE(frame);
  EXPECT_EQ(frame.error().message, "table.jpg: found no sheet of paper in the photo");
}

}  // namespace
}  // namespace truepull
