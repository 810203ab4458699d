// SPDX-License-Identifier: Apache-2.0
// Sheet cards: printed as pages, found again in a picture in any turn.
#include "truepull/sheet_card_reading.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "truepull/marker_cards.h"
#include "truepull/sheet_cards.h"

namespace truepull::testing {
namespace {

SheetCard CardFor(int number, int pass) {
  return {number, pass, std::to_string(number), "", MarkerPattern(kSheetNumberFirstId + number - 1), MarkerPattern(kPassFirstId + pass - 1)};
}

// The filled shapes of a page's card in a corner of it, as a picture, from the marks
// themselves: what is printed is what is read.
cv::Mat Picture(const GuidePage& page, double px_per_mm) {
  cv::Mat picture(static_cast<int>(page.height_mm * px_per_mm), static_cast<int>(page.width_mm * px_per_mm), CV_8UC3, cv::Scalar::all(235));
  for (const Mark& mark : page.marks) {
    const auto* path = std::get_if<PathMark>(&mark.what);
    if (path == nullptr || !path->filled) continue;
    std::vector<cv::Point> points;
    for (const Point& p : path->points) points.emplace_back(static_cast<int>(p.x * px_per_mm * 16), static_cast<int>(p.y * px_per_mm * 16));
    cv::fillPoly(picture, std::vector<std::vector<cv::Point>>{points}, cv::Scalar::all(20), cv::LINE_AA, 4);
  }
  return picture;
}

// A card on a grey table in a photo of 3000 x 2000 px, turned about its middle and blurred.
cv::Mat PhotoOf(const SheetCard& card, double turn_deg, double px_per_mm) {
  cv::Mat picture = Picture(LayOutSheetCards({card}).at(0), 8);
  picture = picture(cv::Rect(0, 0, 840, 1188)).clone();      // The first quarter of the page.
  cv::Mat photo(2000, 3000, CV_8UC3, cv::Scalar(90, 95, 100));
  cv::Mat map = cv::getRotationMatrix2D({420, 594}, turn_deg, px_per_mm / 8);
  map.at<double>(0, 2) += 1900 - 420, map.at<double>(1, 2) += 1000 - 594;
  cv::warpAffine(picture, photo, map, photo.size(), cv::INTER_AREA, cv::BORDER_TRANSPARENT);
  cv::GaussianBlur(photo, photo, {0, 0}, 1.2);
  return photo;
}

TEST(SheetCard, IsReadInAnyTurn) {
  for (const double turn : {0.0, 17.0, 90.0, 135.0, 180.0, 271.0}) {
    const auto card = FindSheetCard(PhotoOf(CardFor(37, 2), turn, 6));
    ASSERT_TRUE(card) << turn;
    EXPECT_EQ(card->number, 37) << turn;
    EXPECT_EQ(card->pass, 2) << turn;
    EXPECT_FALSE(card->doubtful);
  }
}

TEST(SheetCard, IsReadForEveryHundredthNumberAndTheLast) {
  for (const int number : {1, 100, 200, 300, 400, 500, 600}) {
    const auto card = FindSheetCard(PhotoOf(CardFor(number, 1), 8, 4));
    ASSERT_TRUE(card) << number;
    EXPECT_EQ(card->number, number);
  }
}

TEST(SheetCard, IsDoubtfulWhereTwoLieInThePicture) {
  cv::Mat photo = PhotoOf(CardFor(3, 1), 0, 4);
  PhotoOf(CardFor(4, 1), 0, 4)(cv::Rect(1600, 600, 600, 800)).copyTo(photo(cv::Rect(100, 600, 600, 800)));
  const auto card = FindSheetCard(photo);
  ASSERT_TRUE(card);
  EXPECT_TRUE(card->doubtful);
}

TEST(SheetCard, IsNotSeenWhereThereIsNone) {
  EXPECT_FALSE(FindSheetCard(cv::Mat(1500, 2000, CV_8UC3, cv::Scalar(90, 95, 100))));
}

TEST(SheetCards, GoFourToAPage) {
  std::vector<SheetCard> cards;
  for (int k = 1; k <= 9; ++k) cards.push_back(CardFor(k, 1));
  const auto pages = LayOutSheetCards(cards);
  ASSERT_EQ(pages.size(), 3u);
  for (const GuidePage& page : pages) {
    EXPECT_EQ(page.width_mm, 210);
    EXPECT_EQ(page.height_mm, 297);
    for (const Mark& mark : page.marks) {
      const auto* path = std::get_if<PathMark>(&mark.what);
      if (path == nullptr || !path->filled) continue;
      for (const Point& p : path->points) {   // Nothing nearer to a cut than 12 mm.
        EXPECT_GT(std::min(std::abs(p.x - 105), std::min(p.x, 210 - p.x)), 12);
        EXPECT_GT(std::min(std::abs(p.y - 148.5), std::min(p.y, 297 - p.y)), 12);
      }
    }
  }
}

}  // namespace
}  // namespace truepull::testing
