// SPDX-License-Identifier: Apache-2.0
// Cloth and boards told from paper by what runs across a side; sides exchanged.
#include <gtest/gtest.h>

#include <functional>

#include "photo/side_exchange.h"
#include "photo/side_pattern.h"

namespace truepull {
namespace {

constexpr int kPlaces = 64;

std::vector<Colour> Row(const std::function<double(int)>& light) {
  std::vector<Colour> row;
  for (int i = 0; i < kPlaces; ++i) row.push_back({light(i), 128, 130, light(i)});
  return row;
}

double Check(int i) { return i / 4 % 2 == 0 ? 200 : 140; }
double ClothBeyond(int i) { return i / 4 % 2 == 0 ? 140 : 60; }

TEST(Unrest, IsGreatWhereAClothsSquaresGoOnBeyondTheSide) {
  EXPECT_GT(Unrest(Row(Check), Row(ClothBeyond)), 0.4);
}

TEST(Unrest, IsNoneAlongPaperOnACloth) {
  EXPECT_EQ(Unrest(Row([](int i) { return 215 - 0.3 * i; }), Row(ClothBeyond)), 0);
}

TEST(Unrest, IsSmallWhereAShadowCrossesTheSide) {
  const auto shaded = [](double full) {
    return Row([full](int i) { return i > 20 && i < 45 ? 0.6 * full : full; });
  };
  EXPECT_LT(Unrest(shaded(210), shaded(120)), 0.1);
}

TEST(Unrest, IsSmallWherePrintRunsOffTheSheet) {
  const auto tiles = Row([](int i) { return i / 5 % 2 == 0 ? 90 : 150; });
  EXPECT_LT(Unrest(tiles, Row([](int) { return 60; })), 0.1);
  EXPECT_LT(Unrest(tiles, Row(ClothBeyond)), 0.1);
}

// A candidate as if its sides had been seen all along, but for one.
SeenSheet Seen(double left, double top, double right, double bottom, std::size_t bad_side) {
  SeenSheet seen;
  seen.quad = {Point{left, top}, Point{right, top}, Point{right, bottom}, Point{left, bottom}};
  for (std::size_t s = 0; s < 4; ++s) {
    seen.sides[s].support = 1;
    seen.sides[s].chord = {seen.quad[s], seen.quad[Next(s)]};
  }
  seen.sides[bad_side].unrest = 0.5;
  return seen;
}

TEST(SideExchange, BringsTheSheetsFourSidesTogether) {
  // The sheet is 100, 100 to 500, 400; one candidate has a wrong top, the other a wrong left.
  const auto quads = QuadsByExchange({Seen(100, 70, 500, 400, 0), Seen(60, 100, 500, 400, 3)}, 4);
  ASSERT_FALSE(quads.empty());
  const Quad sheet{Point{100, 100}, Point{500, 100}, Point{500, 400}, Point{100, 400}};
  for (std::size_t i = 0; i < 4; ++i) EXPECT_LT(Norm(quads[0][i] - sheet[i]), 1e-9) << i;
}

TEST(SideExchange, HasNothingToGiveForOneCandidate) {
  EXPECT_TRUE(QuadsByExchange({Seen(100, 70, 500, 400, 0)}, 4).empty());
}

}  // namespace
}  // namespace truepull
