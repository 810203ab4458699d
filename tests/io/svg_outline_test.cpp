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

TEST(SvgOutline, TakesWhateverElseIsDrawnAsTheDrawingInside) {
  const auto tile = Parse("<polygon id=\"outline\" points=\"0,0 60,0 60,60 0,60\"/><g transform=\"translate(10,0)\"><polyline points=\"2,2 6,2 6,8\"/></g>"
                          "<line x1=\"4\" y1=\"4\" x2=\"8\" y2=\"12\"/><circle cx=\"30\" cy=\"30\" r=\"10\"/><path d=\"M4 4L8 4\"/>");
  ASSERT_TRUE(tile.has_value()) << Fault(tile);
  ASSERT_EQ(tile->drawing.size(), 4u);
  EXPECT_EQ(tile->drawing[0].points, (std::vector<Point>{{6, 1}, {8, 1}, {8, 4}}));   // Half a mm to the unit.
  EXPECT_FALSE(tile->drawing[0].closed);
  EXPECT_EQ(tile->drawing[1].points, (std::vector<Point>{{2, 2}, {4, 6}}));
  EXPECT_TRUE(tile->drawing[2].closed);
  for (const Point p : tile->drawing[2].points) EXPECT_NEAR(Norm(p - Point{15, 15}), 5, 1e-9);
  EXPECT_FALSE(tile->drawing[3].closed);
  EXPECT_EQ(ParseSvgDrawing(kHead + "<path d=\"M4 4L8 4\"/></svg>", "d.svg").value().size(), 1u);
}

TEST(SvgOutline, RefusesInPlainSentences) {
  EXPECT_THAT(Fault(ParseSvgOutline("<svg width=\"200\" height=\"100\" viewBox=\"0 0 2 1\"/>", "d.svg")), HasSubstr("does not say how large it is in mm"));
  EXPECT_THAT(Fault(ParseSvgOutline("<svg width=\"20mm\" height=\"10mm\"/>", "d.svg")), HasSubstr("has no viewBox"));
  EXPECT_THAT(Fault(ParseSvgOutline("<svg", "d.svg")), HasSubstr("is not whole XML"));
  EXPECT_THAT(Fault(Parse("")), HasSubstr("holds no path, polygon or rect"));
  EXPECT_THAT(Fault(Parse("<rect width=\"9\" height=\"9\"/><rect width=\"5\" height=\"5\"/>")), HasSubstr("holds 2 shapes, and none has the id \"outline\""));
  EXPECT_THAT(Fault(Parse("<path d=\"M0 0L50 0 50 50ZM10 5 20 5 20 9Z\"/>")), HasSubstr("made of 2 lines"));
  EXPECT_THAT(Fault(Parse("<path d=\"M0 0 L60 0 60 60 0 59\"/>")), HasSubstr("the outline's ends do not meet: it begins at (0.00, 0.00) and ends at (0.00, 29.50) mm, 29.50 mm apart"));
  EXPECT_THAT(Fault(Parse("<path d=\"M0 0 L 5 x\"/>")), HasSubstr("the path cannot be read at its letter"));
}

}  // namespace
}  // namespace truepull
