// SPDX-License-Identifier: Apache-2.0
// The frame on drawn sheets whose camera is known.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "photo/drawn_sheet.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

Drawing Drawn(const View& view, Table table) {
  Drawing d;
  d.sheet.width_mm = 420;
  d.sheet.height_mm = 297;
  d.table = table;
  d.camera = CameraOf(view, d.sheet, d.width, d.height);
  d.noise = 0.008;
  return d;
}

// Finds the sheet and gives the greatest error over it in photo pixels; the drawings have
// about 2.8 px to the mm. -1: not found.
double WorstPx(const Drawing& d, SheetFrame* frame = nullptr) {
  const auto found = FindSheet(Draw(d), d.sheet);
  if (!found) {
    ADD_FAILURE() << found.error().message;
    return -1;
  }
  if (frame != nullptr) *frame = *found;
  return Compare(found->camera, d.camera, d.sheet).worst_mm *
         d.camera.PixelsPerMm({0.5 * d.sheet.width_mm, 0.5 * d.sheet.height_mm});
}

TEST(FindSheet, FindsACleanSheetToAFiftiethOfAPixel) {
  SheetFrame frame;
  const double worst = WorstPx(Drawn({8, 12, -8, -0.04}, Table::kDark), &frame);
  EXPECT_LT(worst, 0.02);
  EXPECT_LT(frame.rms_side_px, 0.05);
  EXPECT_THAT(frame.findings, IsEmpty());
}

TEST(FindSheet, FindsItOnWoodChecksAndStone) {
  EXPECT_LT(WorstPx(Drawn({-5, 10, 5, 0.03}, Table::kWood)), 0.03);
  EXPECT_LT(WorstPx(Drawn({20, 10, 15, -0.05}, Table::kCheck)), 0.03);
  EXPECT_LT(WorstPx(Drawn({3, 20, 0, -0.05}, Table::kStone)), 0.03);
}

TEST(FindSheet, FindsItOnALightTable) {
  EXPECT_LT(WorstPx(Drawn({-15, 10, 5, 0.03}, Table::kLightWood)), 0.04);
  EXPECT_LT(WorstPx(Drawn({3, 10, 0, -0.05}, Table::kNearWhite)), 0.05);
}

TEST(FindSheet, IsNotDrawnOutwardByTheSheetsOwnShadow) {
  Drawing d = Drawn({-6, 8, 5, 0.02}, Table::kLightWood);
  d.shadow = 0.5;
  EXPECT_LT(WorstPx(d), 0.06);
}

TEST(FindSheet, LooksThroughACastShadow) {
  for (const Table table : {Table::kLightWood, Table::kStone}) {
    Drawing d = Drawn({3, 10, 0, -0.05}, table);
    d.cast_shadow = 0.6;
    d.falloff = 0.3;
    EXPECT_LT(WorstPx(d), 0.07);
  }
}

TEST(FindSheet, TakesNoShadowsEdgeForASide) {
  for (const Table table : {Table::kNearWhite, Table::kLightWood}) {
    Drawing d = Drawn({3, 10, 0, -0.05}, table);
    d.cast_shadow = 0.8;
    const auto found = FindSheet(Draw(d), d.sheet);
    if (found) {
      EXPECT_LT(Compare(found->camera, d.camera, d.sheet).worst_mm, 0.1);
    } else {
      EXPECT_EQ(found.error().code, ErrorCode::kSheetNotFound);
    }
  }
}

TEST(FindSheet, SaysThatInkReachesTheRim) {
  Drawing d = Drawn({4, 5, 0, -0.02}, Table::kWood);
  d.print_margin_mm = 0.5;
  SheetFrame frame;
  EXPECT_LT(WorstPx(d, &frame), 1.5);  // The margin itself: 1.4 px.
  EXPECT_THAT(frame.findings, ::testing::Contains(HasSubstr("print, or a thing that lies on it, covers much of the ")));
}

TEST(FindSheet, TakesATurnedDownCornerForNoSide) {
  Drawing d = Drawn({3, 10, 0, -0.05}, Table::kWood);
  d.dog_ear_mm = 35;
  EXPECT_LT(WorstPx(d), 0.05);
}

TEST(FindSheet, IsNotDrawnByLightThingsThatTouchTheSheet) {
  Drawing d = Drawn({5, 8, 0, 0.02, 0.8}, Table::kWood);
  d.clutter.push_back({{{100, 500}, {700, 520}, {700, 600}, {100, 580}}, {0.7, 0.7, 0.7}});
  d.clutter.push_back({{{900, 900}, {1100, 900}, {1100, 1150}, {900, 1150}}, {0.75, 0.75, 0.75}});
  EXPECT_LT(WorstPx(d), 0.05);
}

TEST(FindSheet, LooksThroughAPrintThatReachesNearlyToTheEdge) {
  Drawing d = Drawn({4, 5, 0, -0.02}, Table::kWood);
  d.print_margin_mm = 2;
  EXPECT_LT(WorstPx(d), 0.06);
}

TEST(FindSheet, FindsAnEmptySheet) {
  Drawing d = Drawn({-7, 14, 4, 0.03}, Table::kWood);
  d.printed = false;
  EXPECT_LT(WorstPx(d), 0.06);  // 0.046 when measured; noise in the corners of a tilted sheet.
}

TEST(FindSheet, FindsATonedSheetOnALighterTable) {
  Drawing d = Drawn({4, 5, 0, -0.02, 0.8}, Table::kNearWhite);
  d.paper = {0.12, 0.2, 0.3};
  EXPECT_LT(WorstPx(d), 0.05);
}

TEST(FindSheet, FindsASheetWithACornerOutsideThePicture) {
  EXPECT_LT(WorstPx(Drawn({12, 5, 0, -0.02, 1.03}, Table::kWood)), 0.05);
}

TEST(FindSheet, SaysWhereTheTopOfASheetOnItsSideIs) {
  SheetFrame frame;
  EXPECT_LT(WorstPx(Drawn({90, 5, 0, -0.02}, Table::kWood), &frame), 0.06);
  ASSERT_EQ(frame.findings.size(), 1U);
  EXPECT_THAT(frame.findings[0], HasSubstr("its top was taken to be on the right"));
  EXPECT_LT(WorstPx(Drawn({-84, 5, 0, -0.02}, Table::kWood), &frame), 0.06);
  ASSERT_EQ(frame.findings.size(), 1U);
  EXPECT_THAT(frame.findings[0], HasSubstr("its top was taken to be on the left"));
}

TEST(FindSheet, SaysThatThePlanAndThePhotoDisagree) {
  Drawing d = Drawn({5, 8, 0, 0.02, 0.8}, Table::kWood);
  Sheet other = d.sheet;
  other.height_mm = 325;
  const auto found = FindSheet(Draw(d), other);
  ASSERT_TRUE(found) << found.error().message;
  ASSERT_EQ(found->findings.size(), 1U);
  EXPECT_EQ(found->findings[0],
            "the sheet looks 1.41 times as wide as high, the plan says 1.29: check the sheet's width and height in the plan");
}

TEST(FindSheet, StatesMoreSpreadForCockledPaper) {
  Drawing d = Drawn({3, 10, 0, -0.05}, Table::kWood);
  SheetFrame flat, cockled;
  WorstPx(d, &flat);
  d.cockle_px = 0.6;
  WorstPx(d, &cockled);
  EXPECT_LT(Norm(cockled.camera.SheetFromPhoto(d.camera.PhotoFromSheet({20, 20})) - Point{20, 20}),
            3 * std::sqrt(PlaceCovariance(cockled, {20, 20})[0] + PlaceCovariance(cockled, {20, 20})[3]));
  const auto a = PlaceCovariance(flat, {20, 20}), b = PlaceCovariance(cockled, {20, 20});
  EXPECT_GT(b[0] + b[3], 4 * (a[0] + a[3]));
}

}  // namespace
}  // namespace truepull::testing
