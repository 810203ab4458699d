// SPDX-License-Identifier: Apache-2.0
// Ink, colour and honest uncertainty on sheets with the usual faults.
#include <cstdio>

#include "detect/small_sheets.h"

namespace truepull::testing {
namespace {

// The usual faults, without chance missing pulls, on a small photo.
RenderOptions Typical(std::uint64_t seed) {
  RenderOptions options = *OptionsLike("typical", seed);
  options.width_px = 1600;
  options.height_px = 1200;
  // Faults in pixels stand for a 12-megapixel photo; this one has 0.4 of its pixels across.
  options.camera.blur_px *= 0.6;
  options.ink.missing_share = 0;
  return options;
}

// Three sheets together; made once.
const Comparison& ThreeSheets() {
  static const Comparison all = [] {
    Comparison sum;
    for (const std::uint64_t seed : {21U, 22U, 23U}) sum.Add(Measured(SmallWaves(), Typical(seed)));
    Show("like typical", sum);
    return sum;
  }();
  return all;
}

TEST(LikeTypical, EveryPullIsFound) {
  EXPECT_EQ(Summarise(ThreeSheets()).recall, 1);
  EXPECT_LT(Summarise(ThreeSheets()).rms_mm, 0.3);
}

TEST(LikeTypical, CoverageIsTrueToSixHundredths) {
  EXPECT_LT(Summarise(ThreeSheets()).median_coverage_error, 0.06);
}

TEST(LikeTypical, ColoursAreNamedRight) {
  ASSERT_EQ(ThreeSheets().colour_named, 36);
  EXPECT_EQ(ThreeSheets().colour_right, 36);
}

TEST(LikeTypical, ClaimedUncertaintiesAreOfTheRightSize) {
  // Normal errors: median z2 0.455. A factor of two in the sd is a factor of four here; 108
  // numbers that hang together sheet by sheet tell no finer.
  const double z2 = Summarise(ThreeSheets()).median_z_squared;
  std::printf("median z2 %.2f\n", z2);
  EXPECT_GT(z2, 0.455 / 4);
  EXPECT_LT(z2, 0.455 * 4);
}

}  // namespace
}  // namespace truepull::testing
