// SPDX-License-Identifier: Apache-2.0
#include "truepull/marker_cards.h"

#include <gtest/gtest.h>

#include <set>

namespace truepull::testing {
namespace {

TEST(FrameCard, HasFourMarkersOver180MillimetresAndEveryNumberOnce) {
  std::set<int> ids;
  for (int card = 0; card < kFrameCards; ++card) {
    const auto markers = FrameCard(card);
    ASSERT_EQ(markers.size(), 4u);
    EXPECT_EQ(MarkerCorners(markers[0])[0], (Point{5, 5}));
    EXPECT_EQ(MarkerCorners(markers[3])[2], (Point{185, 35}));
    for (const auto& m : markers) EXPECT_TRUE(ids.insert(m.id).second);
  }
  EXPECT_EQ(*ids.rbegin(), 31);
}

TEST(SheetFrame, KeepsOffTheSheetAndRunsClockwiseFromTheTopLeft) {
  const auto markers = MarkersRoundSheet(420, 297);
  // 457 mm across in 5 steps, 334 down in 4, and back.
  ASSERT_EQ(markers.size(), 18u);
  EXPECT_EQ(markers[0].top_left, (Point{-31, -31}));
  EXPECT_EQ(markers[5].top_left, (Point{426, -31}));
  EXPECT_EQ(markers[9].top_left, (Point{426, 303}));
  EXPECT_EQ(markers[14].top_left, (Point{-31, 303}));
  for (std::size_t i = 0; i < markers.size(); ++i) {
    EXPECT_EQ(markers[i].id, 100 + static_cast<int>(i));
    const auto c = MarkerCorners(markers[i]);
    EXPECT_TRUE(c[2].x <= -6 || c[0].x >= 426 || c[2].y <= -6 || c[0].y >= 303);
  }
  EXPECT_LE(MarkersRoundSheet(2700, 2700).size(), 100u);
}

TEST(MarkerPattern, HasABlackBorderAndAPatternOfItsOwn) {
  std::set<std::vector<bool>> seen;
  for (const int id : {0, 31, 100, 199, 200, 799, 800, 819}) {
    const auto cells = MarkerPattern(id);
    ASSERT_EQ(cells.size(), 49u);
    for (std::size_t i = 0; i < 7; ++i) {
      EXPECT_TRUE(cells[i] && cells[42 + i] && cells[7 * i] && cells[7 * i + 6]);
    }
    EXPECT_TRUE(seen.insert(cells).second);
  }
  EXPECT_TRUE(MarkerPattern(1000).empty());
  EXPECT_TRUE(MarkerPattern(-1).empty());
}

}  // namespace
}  // namespace truepull::testing
