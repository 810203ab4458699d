// SPDX-License-Identifier: Apache-2.0
#include "truepull/tile_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace truepull {
namespace {

using ::testing::HasSubstr;

std::string Fault(const std::string& text) {
  const auto tile = ParseTile(text, "tile.yaml");
  return tile ? "no fault" : tile.error().message;
}

TEST(ParseTile, ReadsWhatWriteTileWrote) {
  TileReport r;
  r.title = "Gull \"one\"";
  r.outline = {{0, 0}, {60.1, 1.0 / 3}, {61, 45}, {0, 44.7}};
  r.repeats = true;
  r.steps = {{60, 0}, {0, 45}};
  r.cell = {CellMember{}, CellMember{0, {1, 2}, 3.141592653589793, false}};
  r.findings = {"left side, 3 mm from the top: a neck"};
  const auto back = ParseTile(WriteTile(r), "tile.yaml");
  ASSERT_TRUE(back.has_value()) << back.error().message;
  EXPECT_EQ(back->title, r.title);
  EXPECT_EQ(back->outline, r.outline);
}

TEST(ParseTile, BaseShapesHaveTheSidesAndAnglesAsked) {
  const auto corners = [](const std::string& base) {
    const auto tile = ParseTile("truepull: 1\ntile: {base: " + base + ", sides: [{side: 1, half_turn: true}]}\n", "t");
    EXPECT_TRUE(tile.has_value()) << (tile ? "" : tile.error().message);
    return tile ? tile->base->corners : Outline{};
  };
  EXPECT_EQ(corners("{rectangle: [60, 45]}"), (Outline{{0, 0}, {60, 0}, {60, 45}, {0, 45}}));
  EXPECT_EQ(corners("{hexagon: 30}").size(), 6u);
  const Outline p = corners("{parallelogram: {sides: [60, 40], angle: 70}}");
  EXPECT_NEAR(std::abs(SignedArea(p)), 60 * 40 * std::sin(70 * 3.14159265358979 / 180), 1e-9);
  const Outline k = corners("{kite: {sides: [50, 30], angle: 60}}");
  EXPECT_NEAR(Norm(k[1] - k[0]), 50, 1e-9);
  EXPECT_NEAR(Norm(k[2] - k[1]), 30, 1e-9);
  EXPECT_NEAR(Norm(k[1] - k[3]), 50, 1e-9);  // An equilateral half: 60 degrees, 50 wide.
}

TEST(ParseTile, RefusesInPlainSentencesWithThePlace) {
  EXPECT_THAT(Fault("truepull: 1\ntile: {base: {regular: {sides: 5, side: 30}}, sides: [{side: 1, half_turn: true}]}\n"),
              HasSubstr("inner angles have 108.000 degrees, and 3 of them make 324.0, 4 432.0, never 360"));
  EXPECT_THAT(Fault("truepull: 1\ntile: {outline: [[0,0],[60,0],[0,45],[60,45]]}\n"), HasSubstr("crosses itself"));
  EXPECT_THAT(Fault("truepull: 1\ntile: {}\n"), HasSubstr("needs an outline, or a base shape"));
  EXPECT_THAT(Fault("truepull: 1\ntile: {base: {square: 50}, sides: [{side: 1}]}\n"), HasSubstr("has no moves; one is needed"));
  EXPECT_THAT(Fault("truepull: 1\ntile: {base: {square: 50}, sides: [{side: 5, half_turn: true}]}\n"), HasSubstr("tile.sides[0].side"));
  EXPECT_THAT(Fault("truepull: 1\ntile: {base: {kite: {sides: [50, 20], angle: 60}}, sides: [{side: 1, half_turn: true}]}\n"),
              HasSubstr("must be more than 25.000 mm"));
}

}  // namespace
}  // namespace truepull
