// SPDX-License-Identifier: Apache-2.0
#include "truepull/site_colours.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "layout/tiles.h"
#include "support/random.h"

namespace truepull {
namespace {

using namespace testing;
using Answer = GraphColouring::Answer;

Plan Planned(LayoutRequest r, int rows = 0, int columns = 0) {
  r.rows = rows;
  r.columns = columns;
  Plan plan = PlanOf(r, FitOnSheet(r).value(), "");
  plan.colours = {"#f0d060", "#3a62a8", "#7b4fa0", "#203050", "#b04020"};
  return plan;
}

void ExpectProper(Plan plan, int colours, int most_uneven) {
  const auto spread = SpreadColoursOver(plan, colours);
  ASSERT_TRUE(spread.has_value()) << spread.error().message;
  plan.colour_map = spread->map;
  EXPECT_THAT(MatchingNeighbours(plan), ::testing::IsEmpty());
  std::vector<int> used(static_cast<std::size_t>(colours), 0);
  for (const Site s : AllSites(plan.lattice)) ++used[static_cast<std::size_t>(PlannedColour(plan, s))];
  EXPECT_LE(*std::max_element(used.begin(), used.end()) - *std::min_element(used.begin(), used.end()), most_uneven);
}

// Edge to edge: 5 rows of 5 seams and 4 x 6 seams; corners do not count.
TEST(TouchingSites, CountsSharedEdgesNotCorners) {
  EXPECT_EQ(TouchingSites(Planned(Gulls())).size(), 5u * 5 + 4 * 6);
  // Half-drop: each seam between columns is shared by two neighbours; 5 + 4 pairs of each
  // of the 5 column seams, and 4 x 6 within the columns.
  EXPECT_EQ(TouchingSites(Planned(Gulls(RepeatKind::kHalfDrop))).size(), 5u * 9 + 4 * 6);
}

TEST(SpreadColoursOver, TwoMakeAChequerOnAStraightRepeatAndCannotOnABrickOne) {
  ExpectProper(Planned(Gulls()), 2, 0);
  const auto two = SpreadColoursOver(Planned(Gulls(RepeatKind::kBrick)), 2);
  ASSERT_FALSE(two.has_value());
  EXPECT_EQ(two.error().message, "2 colours cannot be spread over this sheet so that no two touching tiles match; 3 do");
  // Six neighbours each: three colours go in one way only, here 12, 9 and 9 (half-drop).
  ExpectProper(Planned(Gulls(RepeatKind::kBrick)), 3, 3);
  ExpectProper(Planned(Gulls(RepeatKind::kHalfDrop)), 3, 3);
  ExpectProper(Planned(Gulls(RepeatKind::kHalfDrop)), 4, 2);
}

TEST(SpreadColoursOver, EveryRepeatTakesFourEvenly) {
  for (const BuiltTile& tile : {QuarterTurns(), SixtyDegrees(), Glide(), HalfTurns(), Hexagon()}) {
    const Plan plan = Planned(Of(tile, 420, 297, 10));
    for (const int n : {4, 5}) ExpectProper(plan, n, static_cast<int>(AllSites(plan.lattice).size()) / 6 + 2);
  }
}

// Brute force: every assignment of colours to up to 8 nodes.
bool CanBeColoured(int nodes, const std::vector<SitePair>& edges, int colours) {
  std::vector<int> c(static_cast<std::size_t>(nodes), 0);
  for (;;) {
    if (std::all_of(edges.begin(), edges.end(), [&](const SitePair& e) { return c[static_cast<std::size_t>(e.first)] != c[static_cast<std::size_t>(e.second)]; })) return true;
    std::size_t k = 0;
    while (k < c.size() && ++c[k] == colours) c[k++] = 0;
    if (k == c.size()) return false;
  }
}

TEST(ColourGraph, AgreesWithBruteForceOnRandomGraphs) {
  testing::Chance chance(7);
  int possible = 0, impossible = 0;
  for (int k = 0; k < 400; ++k) {
    const int nodes = chance.Whole(1, 8), colours = chance.Whole(1, 4);
    const double density = chance.Number(0.1, 0.9);
    std::vector<SitePair> edges;
    for (int a = 0; a < nodes; ++a) {
      for (int b = a + 1; b < nodes; ++b) {
        if (chance.Number(0, 1) < density) edges.emplace_back(a, b);
      }
    }
    const bool can = CanBeColoured(nodes, edges, colours);
    const auto got = ColourGraph(nodes, edges, colours);
    ASSERT_EQ(got.answer == Answer::kFound, can) << k;
    ASSERT_EQ(got.answer == Answer::kImpossible, !can) << k;
    if (can) {
      for (const auto& [a, b] : edges) ASSERT_NE(got.colour[static_cast<std::size_t>(a)], got.colour[static_cast<std::size_t>(b)]);
    }
    (can ? possible : impossible)++;
  }
  EXPECT_GT(possible, 100);
  EXPECT_GT(impossible, 100);
}

// Random slanting lattices: small blocks, against brute force on the block's own seams.
TEST(SpreadColoursOver, IsExactOnRandomLattices) {
  testing::Chance chance(11);
  int possible = 0, impossible = 0;
  for (int k = 0; k < 40; ++k) {
    const Point a{chance.Number(25, 50), 0};
    const double lean = chance.Whole(0, 2) == 0 ? 0 : chance.Number(3, 20);
    Plan plan;
    Plate plate;
    plate.outline = {{0, 0}, a, {a.x, 30}, {0, 30}};
    plan.plates = {plate};
    plan.sheet.width_mm = plan.sheet.height_mm = 500;
    plan.lattice.origin = {50, 50};
    plan.lattice.across = a;
    plan.lattice.down = {lean, 30};
    plan.lattice.rows = chance.Whole(1, 3);
    plan.lattice.columns = chance.Whole(1, 3);
    const int colours = chance.Whole(2, 3), sites = plan.lattice.rows * plan.lattice.columns;
    const bool can = CanBeColoured(sites, TouchingSites(plan), colours);
    const auto spread = SpreadColoursOver(plan, colours);
    ASSERT_EQ(spread.has_value(), can) << k << " lean " << lean;
    (can ? possible : impossible)++;
    if (!can) continue;
    plan.colours.assign(static_cast<std::size_t>(colours), "#203050");
    plan.colour_map = spread->map;
    EXPECT_THAT(MatchingNeighbours(plan), ::testing::IsEmpty());
  }
  EXPECT_GT(possible, 10);
  EXPECT_GT(impossible, 2);
}

TEST(ParseColourMap, RepeatsWhatWasTypedAndRefusesTheRest) {
  const Plan plan = Planned(Gulls());
  const auto map = ParseColourMap("0 1 / 1 0", plan, 2);
  ASSERT_TRUE(map.has_value());
  EXPECT_EQ((*map)[1], (std::vector{1, 0, 1, 0, 1, 0}));
  EXPECT_EQ(ParseColourMap("0 2", plan, 2).error().message, "the colour map asks for colour 2, but the colours are 0 to 1");
  EXPECT_EQ(ParseColourMap("0 // 1", plan, 2).error().message, "'0 // 1' is no colour map");
  EXPECT_EQ(ParseColourMap("blue", plan, 2).error().message, "'blue' is no colour map");
}

}  // namespace
}  // namespace truepull
