// SPDX-License-Identifier: Apache-2.0
// Outlines traced from imagined photos of hand-cut tiles, beside what was photographed.
#include "truepull/trace.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/hard_looks.h"
#include "support/tile_photos.h"
#include "tiling/shapes.h"
#include "truepull/closing.h"
#include "truepull/photo_file.h"
#include "truepull/tiling.h"

namespace truepull::testing {
namespace {

using testing_shapes::Cut;
using testing_shapes::HalfTurnTile;
using testing_shapes::ShiftTile;

// A tile cut by hand: off the drawn line by some 0.08 mm.
Outline HandCut(int kind, std::mt19937& random) {
  for (;;) {
    const Outline drawn = kind % 2 == 0 ? ShiftTile({61, 3}, {-6, 44}, {9, 7}, 12, random)
                                        : HalfTurnTile({{0, 0}, {58, 5}, {66, 40}, {-4, 52}}, 6, random);
    if (FindSelfCrossing(drawn) || !FindWeakPlaces(drawn).empty()) continue;
    Outline cut = Cut(drawn, 0.08, random);
    const Point middle = Centroid(cut);
    for (Point& p : cut) p = p - middle;
    return cut;
  }
}

Traced TraceIt(const std::string& jpeg, const Sheet& sheet) {
  const auto photo = DecodePhoto(jpeg, "tile.jpg");
  if (!photo) throw std::runtime_error(photo.error().message);
  const auto frame = FindSheet(*photo, sheet);
  if (!frame) throw std::runtime_error(frame.error().message);
  auto traced = TraceTiles(*photo, frame->camera, sheet);
  if (!traced) throw std::runtime_error(traced.error().message);
  return *traced;
}

struct Look {
  const char* name;
  TileLook look;
};
const Look kLooks[] = {{"toned paper, edge drawn", {}},
                       {"white or clear, edge drawn", {"#ffffff", "#303030", 0.8}},
                       {"dark paper, no line", {"#506070", "#506070", 0}},
                       {"pale paper, no line", {"#f0e8d0", "#f0e8d0", 0}}};

TEST(TraceTiles, FollowsHandCutTilesWithinTheSaidError) {
  for (const auto& [name, look] : kLooks) {
    for (int round = 0; round < 2; ++round) {
      SCOPED_TRACE(fmt::format("{} {}", name, round));
      std::mt19937 random(static_cast<unsigned>(70 + round));
      const std::vector<LaidTile> tiles{{HandCut(round, random), {{105, 140}, 0.4 * round}}};
      Plan plan = TilesOnSheet(210, 297, tiles, look);
      const auto jpeg = TilePhoto(plan, PhoneShot(static_cast<std::uint64_t>(round), 1350, 1800, look));
      const Traced traced = TraceIt(jpeg, plan.sheet);
      ASSERT_EQ(traced.tiles.size(), 1u);
      const Outline truth = OnTheSheet(tiles)[0];
      const OutlineError e = ErrorOf(traced.tiles[0].outline, truth), back = ErrorOf(truth, traced.tiles[0].outline);
      fmt::print("{}: traced within {:.3f} mm RMS, {:.3f} at worst ({:.3f}, {:.3f} the other way), {} points, contrast {:.2f}\n", name, e.rms_mm,
                 e.worst_mm, back.rms_mm, back.worst_mm, traced.tiles[0].outline.size(), traced.tiles[0].contrast);
      EXPECT_LT(e.rms_mm, 0.15);
      EXPECT_LT(back.rms_mm, 0.15);
      EXPECT_GT(SignedArea(traced.tiles[0].outline), 0);
    }
  }
}

// A hard photo: a deep soft shadow over the sheet, lamplight, cockled paper, a pencil line.
TEST(TraceTiles, TakesNoShadowOrPencilLineForATile) {
  for (const TileLook& look : {kLooks[0].look, kLooks[1].look, kLooks[3].look}) {
    std::mt19937 random(80);
    const std::vector<LaidTile> tiles{{HandCut(0, random), {{70, 90}, 0.4}}, {HandCut(1, random), {{140, 200}, 1.4}}};
    const Plan plan = TilesOnSheet(210, 297, tiles, look);
    RenderOptions shot = PhoneShot(9, 1350, 1800, look);
    shot.light.shadow = 0.35;
    shot.light.uneven = 0.4;
    shot.light.warmth = 0.6;
    shot.paper.pencil_lines = 1;
    shot.camera.noise = 0.02;
    const Traced traced = TraceIt(TilePhoto(plan, shot), plan.sheet);
    ASSERT_EQ(traced.tiles.size(), 2u) << look.body;
    for (std::size_t k = 0; k < 2; ++k) {
      const OutlineError e = ErrorOf(traced.tiles[k].outline, OnTheSheet(tiles)[k]);
      fmt::print("in shadow, {}: {:.3f} mm RMS, {:.3f} at worst\n", look.body, e.rms_mm, e.worst_mm);
      EXPECT_LT(e.rms_mm, 0.15) << look.body;
    }
  }
}

TEST(TraceTiles, TakesOffHalfALineDrawnWithItsMiddleOnTheEdge) {
  const TileLook look;
  std::mt19937 random(81);
  const std::vector<LaidTile> tiles{{HandCut(0, random), {{105, 140}, 0}}};
  const Plan plan = TilesOnSheet(210, 297, tiles, look);
  const auto photo = DecodePhoto(TilePhoto(plan, PhoneShot(2, 1500, 2000, look)), "tile.jpg");
  ASSERT_TRUE(photo.has_value());
  const auto frame = FindSheet(*photo, plan.sheet);
  ASSERT_TRUE(frame.has_value());
  TileTraceOptions options;
  options.inset_mm = 0.4;
  const auto traced = TraceTiles(*photo, frame->camera, plan.sheet, options);
  ASSERT_TRUE(traced.has_value());
  const Outline truth = OnTheSheet(tiles)[0];
  double sum = 0, squares = 0;
  const auto samples = SampleOutline(traced->tiles[0].outline, 0.5, 0.5);
  for (const EdgeSample& s : samples) {
    const double d = SignedDistance(truth, s.at);
    sum += d;
    squares += d * d;
  }
  const double mean = sum / static_cast<double>(samples.size());
  EXPECT_NEAR(mean, 0.4, 0.03);
  EXPECT_LT(std::sqrt(squares / static_cast<double>(samples.size()) - mean * mean), 0.08);
}

// A photo of one tile, made harder by the caller.
template <typename Harder>
Traced TraceHarder(const TileLook& look, const std::vector<LaidTile>& tiles, Harder harder) {
  const Plan plan = TilesOnSheet(210, 297, tiles, look);
  RenderedSheet made = RenderSheet(plan, PhoneShot(2, 1350, 1800, look)).value();
  harder(made.bgr, made.camera);
  return TraceIt(EncodePhotoJpeg(made.bgr, 90, 1).value(), plan.sheet);
}

TEST(TraceTiles, SaysWhenAPlatesShadowWasTracedWithIt) {
  std::mt19937 random(84);
  const std::vector<LaidTile> tiles{{HandCut(0, random), {{105, 140}, 0.3}}};
  const Outline truth = OnTheSheet(tiles)[0];
  for (const TileLook& look : {kLooks[0].look, kLooks[1].look, kLooks[3].look}) {
    EXPECT_THAT(TraceHarder(look, tiles, [](cv::Mat&, const SheetCamera&) {}).findings, ::testing::IsEmpty()) << look.body;
    const Traced traced = TraceHarder(look, tiles, [&](cv::Mat& bgr, const SheetCamera& camera) { ThrowShadow(bgr, truth, camera, {2.4, 1.8}, 0.3, 0.3); });
    ASSERT_EQ(traced.tiles.size(), 1u);
    EXPECT_THAT(traced.findings, ::testing::ElementsAre(::testing::StartsWith("along the lower right edge of the tile lies what looks like its own shadow"))) << look.body;
  }
}

TEST(TraceTiles, ToleratesSomeGlareAndAShortGapInTheLine) {
  std::mt19937 random(85);
  const std::vector<LaidTile> tiles{{HandCut(0, random), {{105, 140}, 0.3}}};
  const Outline truth = OnTheSheet(tiles)[0];
  const Traced glaring = TraceHarder(kLooks[0].look, tiles, [&](cv::Mat& bgr, const SheetCamera& camera) { AddGlare(bgr, camera, truth, truth[5], 12, 0.3); });
  ASSERT_EQ(glaring.tiles.size(), 1u);
  const OutlineError glare = ErrorOf(glaring.tiles[0].outline, truth);
  // 0.8 mm of the line wiped away, down to the white paper.
  const Traced gappy = TraceHarder(kLooks[1].look, tiles, [&](cv::Mat& bgr, const SheetCamera& camera) {
    const Point at = 0.5 * (truth[20] + truth[21]), along = (1 / Norm(truth[21] - truth[20])) * (truth[21] - truth[20]), in{-along.y, along.x};
    const cv::Mat gap = MaskOf({at - 0.4 * along - 2 * in, at + 0.4 * along - 2 * in, at + 0.4 * along + 2 * in, at - 0.4 * along + 2 * in}, camera, bgr.size());
    const Point paper = camera.PhotoFromSheet(at - 6 * in);
    bgr.setTo(bgr.at<cv::Vec3b>(static_cast<int>(paper.y), static_cast<int>(paper.x)), gap > 0.5);
  });
  ASSERT_EQ(gappy.tiles.size(), 1u);
  const OutlineError gap = ErrorOf(gappy.tiles[0].outline, truth);
  fmt::print("glare: {:.3f} mm RMS, {:.2f} at worst; gap: {:.3f}, {:.2f}\n", glare.rms_mm, glare.worst_mm, gap.rms_mm, gap.worst_mm);
  EXPECT_LT(glare.rms_mm, 0.15);
  EXPECT_LT(gap.rms_mm, 0.15);
}

TEST(TraceTiles, SaysWhereOneLiesOverTheSheetsEdge) {
  const TileLook look;
  std::mt19937 random(82);
  const std::vector<LaidTile> tiles{{HandCut(0, random), {{105, 140}, 0}}, {HandCut(0, random), {{20, 240}, 0}}};
  const Plan plan = TilesOnSheet(210, 297, tiles, look);
  const Traced traced = TraceIt(TilePhoto(plan, PhoneShot(2, 1200, 1600, look)), plan.sheet);
  EXPECT_EQ(traced.tiles.size(), 1u);
  EXPECT_THAT(traced.findings, ::testing::ElementsAre("something that lies over the sheet's edge was left out"));
}

// Without a sheet: seen square on, the same tile by pixels to the mm.
TEST(TraceTiles, MeasuresByAScaleFromStraightAbove) {
  const TileLook look;
  std::mt19937 random(83);
  const std::vector<LaidTile> tiles{{HandCut(0, random), {{105, 140}, 0}}};
  const Plan plan = TilesOnSheet(210, 297, tiles, look);
  RenderOptions shot = PhoneShot(2, 1500, 2000, look);
  shot.camera = {};
  shot.camera.blur_px = 0.8;
  shot.camera.fill = 2;   // Nothing but the sheet is in the picture.
  const auto rendered = RenderSheet(plan, shot);
  ASSERT_TRUE(rendered.has_value());
  Photo photo;
  photo.bgr = rendered->bgr;
  photo.name = "scale.jpg";
  const double px_per_mm = rendered->camera.PixelsPerMm({105, 140});
  const ScaledPhoto scaled = LookStraightDown(photo, px_per_mm);
  const auto traced = TraceTiles(photo, scaled.camera, scaled.sheet);
  ASSERT_TRUE(traced.has_value()) << traced.error().message;
  Outline truth;
  const Outline laid = OnTheSheet(tiles)[0];
  for (const Point p : laid) truth.push_back(scaled.camera.SheetFromPhoto(rendered->camera.PhotoFromSheet(p)));
  EXPECT_LT(ErrorOf(traced->tiles[0].outline, truth).rms_mm, 0.05);
}

}  // namespace
}  // namespace truepull::testing
