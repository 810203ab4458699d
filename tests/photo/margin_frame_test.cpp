// SPDX-License-Identifier: Apache-2.0
// The frame by the margin's marks, on rendered photos of sheets whose edges mislead.
#include "truepull/margin_frame.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <cmath>

#include "support/sheets.h"
#include "truepull/render.h"

namespace truepull {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

// A sheet of A3 with pencilled marks; 5 pixels to the mm.
RenderOptions Marked(std::uint64_t seed, double dark = 0.6) {
  RenderOptions options = *OptionsLike("typical", seed);
  options.width_px = 2400;
  options.height_px = 1800;
  options.paper.cockle_mm = 0;
  options.paper.pencil_lines = 0;
  options.paper.margin_marks = dark;
  return options;
}

struct Outcome {
  MarginFrame margin;
  double rms_mm = 0, edges_rms_mm = 0;   // Per axis, over 81 places.
  double off_sd = 0;                     // Root mean square over the stated standard deviation.
};

Photo PhotoOf(const RenderedSheet& rendered) {
  Photo photo;
  photo.name = "marked.jpg";
  photo.bgr = rendered.bgr;
  return photo;
}

// The plan that is read by may have another sheet than the one that was pulled. The true places are
// those of the marks' own frame, which both have in common.
Result<Outcome> Read(const RenderOptions& options, const Plan& pulled, const Plan& by) {
  const auto rendered = RenderSheet(pulled, options);
  if (!rendered) return rendered.error();
  const Photo photo = PhotoOf(*rendered);
  const auto edges = FindSheet(photo, by.sheet);
  if (!edges) return edges.error();
  auto margin = FrameFromMargin(photo, by.sheet, *edges);
  if (!margin) return margin.error();
  Outcome out{*std::move(margin)};
  for (int i = 0; i < 81; ++i) {
    const Point mm{pulled.sheet.width_mm * (i % 9) / 8, pulled.sheet.height_mm * (i / 9) / 8};
    const Point seen = rendered->camera.PhotoFromSheet(mm);
    const Point off = out.margin.frame.camera.SheetFromPhoto(seen) - mm, by_edges = edges->camera.SheetFromPhoto(seen) - mm;
    const auto c = PlaceCovariance(out.margin.frame, mm);
    const Eigen::Matrix2d covariance{{c[0], c[1]}, {c[2], c[3]}};
    const Eigen::Vector2d d(off.x, off.y);
    out.rms_mm += 0.5 * Dot(off, off) / 81;
    out.edges_rms_mm += 0.5 * Dot(by_edges, by_edges) / 81;
    out.off_sd += 0.5 * d.dot(covariance.inverse() * d) / 81;
  }
  out.rms_mm = std::sqrt(out.rms_mm), out.edges_rms_mm = std::sqrt(out.edges_rms_mm), out.off_sd = std::sqrt(out.off_sd);
  return out;
}
Result<Outcome> Read(const RenderOptions& options) { return Read(options, testing::DrawnRectangles(), testing::DrawnRectangles()); }

TEST(MarginFrame, IsAsTrueAsGoodEdgesOnAGoodSheet) {
  for (const std::uint64_t seed : {1U, 2U, 4U}) {
    for (const double dark : {0.4, 1.0}) {
      const auto got = Read(Marked(seed, dark));
      ASSERT_TRUE(got) << seed << " " << got.error().message;
      EXPECT_LT(got->rms_mm, 0.04) << seed << " " << dark;
      EXPECT_THAT(got->margin.seen, ElementsAre(true, true, true, true));
      EXPECT_TRUE(got->margin.way_up_known) << seed << " " << dark;
    }
  }
}

TEST(MarginFrame, StatesHonestlyWhatStrokesByHandCost) {
  double squares = 0;
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U, 5U, 6U}) {
    RenderOptions options = Marked(seed);
    options.paper.margin_marks_sd_mm = 0.1;
    const auto got = Read(options);
    ASSERT_TRUE(got) << seed << " " << got.error().message;
    squares += got->off_sd * got->off_sd / 6;
  }
  EXPECT_LT(std::sqrt(squares), 1.6);
  EXPECT_GT(std::sqrt(squares), 0.5);
}

TEST(MarginFrame, IsNotMisledByTornAndTapedEdges) {
  for (const std::uint64_t seed : {1U, 2U, 3U, 4U}) {
    RenderOptions options = Marked(seed);
    options.paper.deckle_mm = 1.0;
    options.paper.tapes = 4;
    const auto got = Read(options);
    ASSERT_TRUE(got) << seed << " " << got.error().message;
    // What remains is the lens's bend, which is still taken from the torn edges (0.19 mm at most here).
    EXPECT_LT(got->rms_mm, 0.25) << seed;
    EXPECT_LT(got->off_sd, 2) << seed;
    EXPECT_THAT(got->margin.seen, ElementsAre(true, true, true, true));
  }
}

// Trimmed by 4 mm at the right and 3 mm at the bottom after the marks were made.
TEST(MarginFrame, IsNotMisledByASheetThatWasTrimmed) {
  Plan trimmed = testing::DrawnRectangles();
  trimmed.sheet.width_mm -= 4;
  trimmed.sheet.height_mm -= 3;
  RenderOptions options = Marked(2);
  options.paper.margin_marks_shift = {Point{0, 0}, {4, 0}, {4, 3}, {0, 3}};
  const auto got = Read(options, trimmed, testing::DrawnRectangles());
  ASSERT_TRUE(got) << got.error().message;
  EXPECT_GT(got->edges_rms_mm, 1);
  EXPECT_LT(got->rms_mm, 0.05);
  EXPECT_THAT(got->margin.frame.notes.back(), HasSubstr("top right 4.0, bottom right 5.0, bottom left 3.0"));
}

TEST(MarginFrame, TheRingSaysWhichCornerIsTheTopLeft) {
  RenderOptions options = Marked(3);
  options.camera.quarter_turns = 2;
  const auto got = Read(options);
  ASSERT_TRUE(got) << got.error().message;
  EXPECT_TRUE(got->margin.way_up_known);
  EXPECT_LT(got->rms_mm, 0.04);
  EXPECT_GT(got->edges_rms_mm, 50);   // Edges alone take the picture's top for the sheet's.
  EXPECT_EQ(got->margin.frame.notes.back(), "the ring says that the sheet lies turned in the photo");
  options.paper.margin_ring = false;
  const auto plain = Read(options);
  ASSERT_TRUE(plain) << plain.error().message;
  EXPECT_FALSE(plain->margin.way_up_known);
}

TEST(MarginFrame, GoesOnWithThreeAndSaysWhichIsMissing) {
  RenderOptions options = Marked(2);
  options.paper.margin_marks_shift[2] = {40, 0};
  const auto got = Read(options);
  ASSERT_TRUE(got) << got.error().message;
  EXPECT_THAT(got->margin.seen, ElementsAre(true, true, false, true));
  EXPECT_THAT(got->margin.frame.findings.back(), HasSubstr("the margin mark at the bottom right corner was not seen"));
  EXPECT_LT(got->rms_mm, 0.3);
  EXPECT_LT(got->off_sd, 1.5);
  options.paper.margin_marks_shift[0] = {-40, 0};
  const auto two = Read(options);
  ASSERT_FALSE(two);
  EXPECT_EQ(two.error().message, "marked.jpg: only 2 of the sheet's 4 margin marks are seen; missing: top left, bottom right");
}

TEST(MarginFrame, TellsAMarkThatIsNotInItsPlace) {
  RenderOptions options = Marked(4);
  options.paper.margin_marks_shift[1] = {-3, 2};
  const auto got = Read(options);
  ASSERT_TRUE(got) << got.error().message;
  ASSERT_THAT(got->margin.frame.findings, ::testing::SizeIs(1));
  EXPECT_THAT(got->margin.frame.findings[0], HasSubstr("a mark is not where it should be (most likely top right)"));
}

TEST(MarginFrame, TakesNeitherPrintNorPencilLinesForMarks) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    RenderOptions options = Marked(seed, 0);
    options.paper.pencil_lines = 12;
    options.paper.finger_marks = 6;
    options.paper.texture = 1;
    const auto got = Read(options);
    EXPECT_FALSE(got) << seed;
    if (!got) {
      EXPECT_THAT(got.error().message, HasSubstr("only 0 of the sheet's 4 margin marks are seen")) << seed;
    }
  }
}

}  // namespace
}  // namespace truepull
