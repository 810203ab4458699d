// SPDX-License-Identifier: Apache-2.0
#include "truepull/cell_fit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "layout/tiles.h"
#include "truepull/tile_text.h"

namespace truepull {
namespace {

using namespace testing;

TEST(FitOfCell, MeasuresOverlapAndGap) {
  const std::vector<Outline> square{{{0, 0}, {30, 0}, {30, 30}, {0, 30}}};
  EXPECT_TRUE(FitOfCell(square, {{30, 0}, {0, 30}}).Fits());
  EXPECT_TRUE(FitOfCell(square, {{30, 12}, {0, 30}}).Fits());  // Any drop will do.
  // A step 2 mm short along x and the cell's area made up along y: overlap of 2 mm.
  const CellFit fit = FitOfCell(square, {{28, 0}, {0, 900.0 / 28}});
  EXPECT_FALSE(fit.Fits());
  EXPECT_NEAR(fit.overlap_mm, 2, 0.05);
  EXPECT_NEAR(fit.spare_mm2, 0, 1e-9);
  const CellFit gap = FitOfCell(square, {{31, 0}, {0, 30}});
  EXPECT_FALSE(gap.Fits());
  EXPECT_EQ(gap.overlap_mm, 0);
  EXPECT_NEAR(gap.spare_mm2, 30, 1e-9);
}

// The file alone, without the base shape, is enough to use the tile again; one digit off,
// and it is not believed.
TEST(RepeatOf, TrustsAWrittenTileAgainOnlyWhereItFits) {
  for (const BuiltTile& tile : {QuarterTurns(), SixtyDegrees(), Glide()}) {
    TileReport report;
    report.outline = tile.outline;
    report.repeats = true;
    report.steps = tile.steps;
    report.cell = tile.cell;
    const auto input = ParseTile(WriteTile(report), "tile.yaml");
    ASSERT_TRUE(input.has_value()) << input.error().message;
    const auto again = RepeatOf(input->outline, input->claimed);
    ASSERT_TRUE(again.has_value()) << again.error().message;
    EXPECT_EQ(again->cell.size(), tile.cell.size());
    EXPECT_EQ(again->steps.across, tile.steps.across);
    EXPECT_EQ(again->needs_mirrored_plate, tile.needs_mirrored_plate);
    BuiltTile wrong = *input->claimed;
    wrong.cell[1].at.x += 0.5;
    const auto refused = RepeatOf(input->outline, wrong);
    ASSERT_FALSE(refused.has_value());
    EXPECT_THAT(refused.error().message, ::testing::HasSubstr("mm in one another"));
    EXPECT_FALSE(RepeatOf(input->outline, std::nullopt).has_value());
  }
}

}  // namespace
}  // namespace truepull
