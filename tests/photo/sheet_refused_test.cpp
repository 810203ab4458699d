// SPDX-License-Identifier: Apache-2.0
// Photos without a sheet that can be measured: each is refused in one plain sentence.
#include <gtest/gtest.h>

#include "photo/drawn_sheet.h"

namespace truepull::testing {
namespace {

constexpr const char* kHint =
    "photograph the whole sheet with a darker table showing on every side (docs/photo.md)";

Drawing Drawn(const View& view, Table table = Table::kWood) {
  Drawing d;
  d.sheet.width_mm = 420;
  d.sheet.height_mm = 297;
  d.table = table;
  d.camera = CameraOf(view, d.sheet, d.width, d.height);
  d.noise = 0.008;
  return d;
}

Error Refusal(const Drawing& d) {
  const auto found = FindSheet(Draw(d), d.sheet);
  if (found) {
    ADD_FAILURE() << "a sheet was found";
    return {};
  }
  return found.error();
}

TEST(SheetRefused, NamesTheEdgeThatIsCutOff) {
  const Error right = Refusal(Drawn({4, 5, 0, -0.02, 0.8, {350, 0}}));
  EXPECT_EQ(right.code, ErrorCode::kSheetNotFound);
  EXPECT_EQ(right.message, "drawn.jpg: found 3 of the 4 sheet edges; the right edge is cut off");
  EXPECT_EQ(right.hint, kHint);
  EXPECT_EQ(Refusal(Drawn({4, 5, 0, -0.02, 0.8, {0, 220}})).message,
            "drawn.jpg: found 3 of the 4 sheet edges; the bottom edge is cut off");
  EXPECT_EQ(Refusal(Drawn({-4, 5, 0, 0.02, 0.8, {0, -220}})).message,
            "drawn.jpg: found 3 of the 4 sheet edges; the top edge is cut off");
}

TEST(SheetRefused, WhenAnEmptySheetIsCutOff) {
  Drawing d = Drawn({-3, 5, 0, -0.02, 0.8, {-330, 0}});
  d.printed = false;
  EXPECT_EQ(Refusal(d).message, "drawn.jpg: found 3 of the 4 sheet edges; the left edge is cut off");
}

TEST(SheetRefused, WhenTwoEdgesAreCutOff) {
  const Error error = Refusal(Drawn({4, 5, 0, -0.02, 0.8, {-400, 300}}));
  EXPECT_EQ(error.code, ErrorCode::kSheetNotFound);
  EXPECT_NE(error.message.find("cut off"), std::string::npos) << error.message;
}

TEST(SheetRefused, WhenThereIsOnlyTheTable) {
  for (const Table table : {Table::kWood, Table::kCheck, Table::kStone, Table::kNearWhite}) {
    Drawing d = Drawn({0, 0, 0, 0, 0.05, {5000, 0}}, table);
    const Error error = Refusal(d);
    EXPECT_EQ(error.code, ErrorCode::kSheetNotFound);
    EXPECT_EQ(error.message, "drawn.jpg: found no sheet of paper in the photo");
  }
}

TEST(SheetRefused, DoesNotTakeACardOrAStripForTheSheet) {
  Drawing d = Drawn({0, 0, 0, 0, 0.05, {5000, 0}});
  // A white card of the sheet's very ratio, and a strip.
  d.clutter.push_back({{{900, 700}, {1180, 720}, {1165, 918}, {886, 900}}, {0.8, 0.8, 0.8}});
  d.clutter.push_back({{{100, 100}, {900, 160}, {890, 240}, {95, 180}}, {0.75, 0.75, 0.75}});
  EXPECT_EQ(Refusal(d).message, "drawn.jpg: found no sheet of paper in the photo");
}

TEST(SheetRefused, WhenThePrintFillsThePicture) {
  EXPECT_EQ(Refusal(Drawn({0, 0, 0, 0, 1.6})).code, ErrorCode::kSheetNotFound);
}

TEST(SheetRefused, WhenThePhotoIsDark) {
  Photo black;
  black.name = "night.jpg";
  black.bgr = cv::Mat(1200, 1600, CV_8UC3, cv::Scalar(2, 2, 2));
  const auto found = FindSheet(black, Drawn({}).sheet);
  ASSERT_FALSE(found);
  EXPECT_EQ(found.error().code, ErrorCode::kPhotoUnusable);
  EXPECT_EQ(found.error().message, "night.jpg: the photo is too dark; even its lightest parts have only 0 % of full lightness");
}

TEST(SheetRefused, WhenThePhotoIsWhiteAllOver) {
  Photo white;
  white.name = "glare.jpg";
  white.bgr = cv::Mat(1200, 1600, CV_8UC3, cv::Scalar(255, 255, 255));
  const auto found = FindSheet(white, Drawn({}).sheet);
  ASSERT_FALSE(found);
  EXPECT_EQ(found.error().message, "glare.jpg: found no sheet of paper in the photo");
}

TEST(SheetRefused, WhenThePhotoIsTooSmall) {
  for (const cv::Size size : {cv::Size(1, 1), cv::Size(120, 90), cv::Size(2000, 3)}) {
    Photo tiny;
    tiny.name = "stamp.jpg";
    tiny.bgr = cv::Mat(size, CV_8UC3, cv::Scalar(200, 200, 200));
    const auto found = FindSheet(tiny, Drawn({}).sheet);
    ASSERT_FALSE(found);
    EXPECT_EQ(found.error().code, ErrorCode::kPhotoUnusable);
  }
  Photo none;
  none.name = "none.jpg";
  EXPECT_FALSE(FindSheet(none, Drawn({}).sheet).has_value());
}

TEST(SheetRefused, WhenTheSheetHasTooFewPixels) {
  Drawing d = Drawn({2, 3, 0, 0, 0.7});
  d.width = 480;
  d.height = 360;
  d.camera = CameraOf({2, 3, 0, 0, 0.7}, d.sheet, d.width, d.height);
  const Error error = Refusal(d);
  EXPECT_EQ(error.code, ErrorCode::kPhotoUnusable);
  EXPECT_EQ(error.message, "drawn.jpg: the sheet is shown with only 0.8 pixels to the millimetre; 1 is the least");
}

}  // namespace
}  // namespace truepull::testing
