// SPDX-License-Identifier: Apache-2.0
#include "truepull/drawing_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/files.h"

namespace truepull {
namespace {

using ::testing::HasSubstr;

TEST(DrawingFile, ReadsBackWhatItWroteInTheTilesFrame) {
  const testing::TemporaryFolder folder;
  // About a reference point in the middle: half of it lies below 0.
  const std::vector<DrawnLine> lines{{{{-20.5, -7.25}, {3.125, 11}, {18, -0.0625}}, false}, {{{-2, -2}, {2, -2}, {0, 3}}, true}};
  testing::WriteFile(folder / "a.svg", WriteDrawing(lines));
  const auto back = LoadDrawing(folder.path(), "a.svg", "plan.yaml");
  ASSERT_TRUE(back.has_value()) << back.error().message;
  ASSERT_EQ(back->size(), 2u);
  for (std::size_t k = 0; k < 2; ++k) {
    EXPECT_EQ((*back)[k].closed, lines[k].closed);
    ASSERT_EQ((*back)[k].points.size(), lines[k].points.size());
    for (std::size_t i = 0; i < lines[k].points.size(); ++i) EXPECT_NEAR(Norm((*back)[k].points[i] - lines[k].points[i]), 0, 1e-3);
  }
}

TEST(DrawingFile, NamesWhatIsMissing) {
  const testing::TemporaryFolder folder;
  const auto none = LoadDrawing(folder.path(), "none.svg", "plan.yaml");
  ASSERT_FALSE(none.has_value());
  EXPECT_EQ(none.error().message, "plan.yaml: its drawing none.svg could not be read");
  testing::WriteFile(folder / "bare.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='60mm' viewBox='0 0 80 60'><path id='outline' d='M0 0h60v45h-60z'/></svg>");
  const auto bare = LoadDrawing(folder.path(), "bare.svg", "plan.yaml");
  ASSERT_FALSE(bare.has_value());
  EXPECT_THAT(bare.error().message, HasSubstr("bare.svg: nothing is drawn in it besides the outline"));
}

}  // namespace
}  // namespace truepull
