// SPDX-License-Identifier: Apache-2.0
// Outlines and plates that a plan may not have, and harmless oddities that it may.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/harbour_plan.h"
#include "support/refusal.h"

namespace truepull::testing {
namespace {

const std::string kSquare = "[[0, 0], [60, 0], [60, 45], [0, 45]]";

TEST(PlanOutline, RefusesFewerThanThreePoints) {
  EXPECT_EQ(Refusal(With(kSquare, "[[0, 0], [60, 0]]")),
            "plan.yaml:7:12: tile.outline needs at least 3 points, not 2\n"
            "  outline: [[0, 0], [60, 0]]\n"
            "           ^");
  EXPECT_EQ(Refusal(With(kSquare, "[[0, 0], [60, 0], [0, 0]]")),
            "plan.yaml:7:12: tile.outline needs at least 3 different points, not 2\n"
            "  outline: [[0, 0], [60, 0], [0, 0]]\n"
            "           ^");
}

TEST(PlanOutline, RefusesOneThatCrossesItself) {
  // A bow-tie: its diagonals meet half-way, at (30, 22.5).
  EXPECT_EQ(Refusal(With(kSquare, "[[0, 0], [60, 45], [60, 0], [0, 45]]")),
            "plan.yaml:7:31: tile.outline[2] begins an edge that meets the edge from tile.outline[0] at "
            "(30.00, 22.50) mm, so the outline crosses itself\n"
            "  outline: [[0, 0], [60, 45], [60, 0], [0, 45]]\n"
            "                              ^\n"
            "  try: list the points in the order in which they follow one another round the tile");
}

TEST(PlanOutline, CountsPointsAsTheFileDoesEvenAfterARepeat) {
  EXPECT_THAT(Refusal(With(kSquare, "[[0, 0], [0, 0], [60, 45], [60, 0], [0, 45]]")),
              ::testing::HasSubstr("tile.outline[3] begins an edge that meets the edge from tile.outline[0]"));
}

TEST(PlanOutline, RefusesOneWithoutArea) {
  EXPECT_EQ(Refusal(With(kSquare, "[[0, 0], [60, 0], [30, 0]]")),
            "plan.yaml:7:12: tile.outline encloses no area: all its points lie on one line\n"
            "  outline: [[0, 0], [60, 0], [30, 0]]\n"
            "           ^");
  EXPECT_EQ(Refusal(With(kSquare, "[[0, 0], [1, 0], [1, 0.5]]")),
            "plan.yaml:7:12: tile.outline encloses 0.25 mm2; a tile must have 1 mm2 or more\n"
            "  outline: [[0, 0], [1, 0], [1, 0.5]]\n"
            "           ^");
}

TEST(PlanOutline, RefusesPointsThatAreNone) {
  EXPECT_EQ(Refusal(With("[60, 45]", "[60, 45, 1]")),
            "plan.yaml:7:30: tile.outline[2] must be two numbers [x, y], not a list of 3\n"
            "  outline: [[0, 0], [60, 0], [60, 45, 1], [0, 45]]\n"
            "                             ^");
  EXPECT_EQ(Refusal(With("[60, 45]", "60")),
            "plan.yaml:7:30: tile.outline[2] must be two numbers [x, y], not 60\n"
            "  outline: [[0, 0], [60, 0], 60, [0, 45]]\n"
            "                             ^");
  EXPECT_EQ(Refusal(With("[60, 45]", "[60, 4500]")),
            "plan.yaml:7:35: tile.outline[2][1] must be 2000 mm or less, not 4500\n"
            "  outline: [[0, 0], [60, 0], [60, 4500], [0, 45]]\n"
            "                                  ^");
  EXPECT_EQ(Refusal(With(kSquare, "12")),
            "plan.yaml:7:12: tile.outline must be a list of points, not 12\n"
            "  outline: 12\n"
            "           ^");
}

TEST(PlanOutline, ShowsOnlyTheRightPartOfALongLine) {
  std::string points = "[[0, 0]";
  for (int i = 1; i < 200; ++i) points += fmt::format(", [{}, {}]", i, i % 2);
  points += ", [100, x], [100, 90]]";
  EXPECT_EQ(Refusal(With(kSquare, points)),
            "plan.yaml:7:1909: tile.outline[200][1] must be a number, not x\n"
            "...0], [197, 1], [198, 0], [199, 1], [100, x], [100, 90]]\n"
            "                                           ^");
}

TEST(PlanOutline, DropsPointsThatRepeatTheOneBefore) {
  const auto parsed = ParsePlan(With(kSquare, "[[0, 0], [0, 0], [60, 0], [60, 45], [0, 45], [0, 0]]"), "p");
  ASSERT_TRUE(parsed) << parsed.error().message;
  EXPECT_EQ(parsed->plan.plates[0].outline, (Outline{{0, 0}, {60, 0}, {60, 45}, {0, 45}}));
}

TEST(PlanPlates, AreOneTileOrSeveralByName) {
  const std::string tile = "tile:\n  outline: " + kSquare + "\n";
  EXPECT_EQ(Refusal(With(tile, "")),
            "plan.yaml:1:1: tile is missing\n"
            "truepull: 1\n"
            "^\n"
            "  try: give the tile and its outline, or several plates");
  EXPECT_EQ(Refusal(With(tile, "plates: {}\n")),
            "plan.yaml:6:9: plates names no plate\n"
            "plates: {}\n"
            "        ^");
  EXPECT_EQ(Refusal(With("tile:\n", "plates: {}\ntile:\n")),
            "plan.yaml:6:9: plates is given beside tile\n"
            "plates: {}\n"
            "        ^\n"
            "  try: keep tile for one plate, or plates for several");
  EXPECT_EQ(Refusal(With("  outline: " + kSquare, "  prints: 0.9")),
            "plan.yaml:7:3: tile.outline is missing\n"
            "  prints: 0.9\n"
            "  ^");
  EXPECT_EQ(Refusal(With("tile:\n", "tile:\n  prints: 1.2\n")),
            "plan.yaml:7:11: tile.prints must be 1 or less, not 1.2\n"
            "  prints: 1.2\n"
            "          ^");
  EXPECT_EQ(Refusal(With(tile, "plates:\n  A: {outline: " + kSquare + "}\n  A: {outline: " + kSquare + "}\n")),
            "plan.yaml:8:3: plates.A is given twice, first on line 7\n"
            "  A: {outline: [[0, 0], [60, 0], [60, 45], [0, 45]]}\n"
            "  ^\n"
            "  try: keep one of them");
  EXPECT_EQ(Refusal(With(tile, "plates:\n  A: {outline: " + kSquare + "}\n  B: {outline: " + kSquare + "}\n")),
            "plan.yaml:10:3: lattice.cell is missing\n"
            "  origin: [30, 24]\n"
            "  ^\n"
            "  try: the plan has several plates: say which of them stand in each cell, and where");
}

}  // namespace
}  // namespace truepull::testing
