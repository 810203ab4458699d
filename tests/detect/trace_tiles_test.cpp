// SPDX-License-Identifier: Apache-2.0
// Outlines traced from imagined photos of hand-cut tiles, beside what was photographed.
#include "truepull/trace.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

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
      const auto jpeg = TilePhoto(plan, PhoneShot(static_cast<std::uint64_t>(round), 1800, 2400, look));
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

}  // namespace
}  // namespace truepull::testing
