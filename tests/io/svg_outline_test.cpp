// SPDX-License-Identifier: Apache-2.0
#include "truepull/svg_outline.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace truepull {
namespace {

using ::testing::HasSubstr;

const std::string kHead = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"80mm\" viewBox=\"0 0 200 160\">";

Result<TileInput> Parse(const std::string& inside) { return ParseSvgOutline(kHead + inside + "</svg>", "d.svg"); }

std::string Fault(const Result<TileInput>& r) { return r ? "no fault" : r.error().message; }

TEST(SvgOutline, TurnsUserUnitsAndTransformsIntoMillimetres) {
  const auto tile = Parse("<g transform=\"translate(20,10)\"><path transform=\"rotate(90)\" d=\"M0 0h20v-40H0z\"/></g>");
  ASSERT_TRUE(tile.has_value()) << Fault(tile);
  // Half a mm to the unit; (20, 0) turns to (0, 20), and all moves by (20, 10).
  const Outline want{{10, 5}, {10, 15}, {30, 15}, {30, 5}};
  ASSERT_EQ(tile->outline.size(), 4u);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(Norm(tile->outline[i] - want[i]), 0, 1e-12);
}

TEST(SvgOutline, FlattensCirclesAndCurvesToAFiftiethOfAMillimetre) {
  const auto circle = Parse("<path d=\"M40 80a40 40 0 1 0 80 0a40 40 0 10-80 0z\"/>");
  ASSERT_TRUE(circle.has_value()) << Fault(circle);
  for (std::size_t i = 0; i < circle->outline.size(); ++i) {
    const Point a = circle->outline[i], b = circle->outline[(i + 1) % circle->outline.size()];
    EXPECT_NEAR(Norm(a - Point{40, 40}), 20, 1e-9);
    EXPECT_GT(Norm(0.5 * (a + b) - Point{40, 40}), 20 - 0.0201);
  }
  // The cubic (0,0) (0,h) (w,h) (w,0) encloses 3/5 w h (by Green's theorem).
  const auto curve = Parse("<path d=\"M0 0C0 60 120 60 120 0Z\"/>");
  ASSERT_TRUE(curve.has_value()) << Fault(curve);
  EXPECT_NEAR(std::abs(SignedArea(curve->outline)), 0.6 * 60 * 30, 60 * 0.02);
}

TEST(SvgOutline, TakesTheShapeNamedOutline) {
  const auto tile = Parse("<rect x=\"0\" y=\"0\" width=\"200\" height=\"160\"/><polygon id=\"outline\" points=\"0,0 60,0 0,60\"/>");
  ASSERT_TRUE(tile.has_value()) << Fault(tile);
  EXPECT_EQ(tile->outline, (Outline{{0, 0}, {30, 0}, {0, 30}}));
}

TEST(SvgOutline, RefusesInPlainSentences) {
  EXPECT_THAT(Fault(ParseSvgOutline("<svg width=\"200\" height=\"100\" viewBox=\"0 0 2 1\"/>", "d.svg")), HasSubstr("does not say how large it is in mm"));
  EXPECT_THAT(Fault(ParseSvgOutline("<svg width=\"20mm\" height=\"10mm\"/>", "d.svg")), HasSubstr("has no viewBox"));
  EXPECT_THAT(Fault(ParseSvgOutline("<svg", "d.svg")), HasSubstr("is not whole XML"));
  EXPECT_THAT(Fault(Parse("")), HasSubstr("holds no path, polygon or rect"));
  EXPECT_THAT(Fault(Parse("<rect width=\"9\" height=\"9\"/><rect width=\"5\" height=\"5\"/>")), HasSubstr("holds 2 shapes, and none has the id \"outline\""));
  EXPECT_THAT(Fault(Parse("<path d=\"M0 0L50 0 50 50ZM10 5 20 5 20 9Z\"/>")), HasSubstr("made of 2 lines"));
  EXPECT_THAT(Fault(Parse("<path d=\"M0 0 L 5 x\"/>")), HasSubstr("the path cannot be read at its letter"));
}

}  // namespace
}  // namespace truepull
