// SPDX-License-Identifier: Apache-2.0
// Carved blocks: touching tiles of one colour without an edge band, as lino prints. Where no
// edge shows between two of them, the lines cut into the block do.
#include "detect/small_sheets.h"

namespace truepull::testing {
namespace {

// As typical sheets are, but carved. 7.3 px to the mm, as a phone's photo of A3 has.
RenderOptions TypicalLino(std::uint64_t seed) {
  RenderOptions options = *OptionsLike("typical", seed);
  options.width_px = 2400;
  options.height_px = 1800;
  options.ink.look = InkLook::kRelief;
  options.ink.edge_ring_mm = 0;
  options.ink.mottle = 0;
  options.ink.carved = true;
  options.ink.rim = 0;       // Not even a squeezed edge.
  options.ink.speckle = 0.3;
  if (options.ink.motif == Motif::kNone) options.ink.motif = Motif::kGull;
  return options;
}

Plan OneColour(Plan plan) {
  plan.colours.resize(1);
  plan.colour_map.clear();
  plan.edge_colour.clear();
  return plan;
}

// The figures asked of typical sheets.
TEST(InnerPicture, TouchingCarvedTilesOfOneColourAreFoundAsTypicalOnesAre) {
  Comparison all;
  for (const std::uint64_t seed : {1u, 2u, 3u, 4u}) {
    const Plan plan = OneColour(seed % 2 == 1 ? WavesOn(300, 220, 4, 5, 50, 44) : RectanglesOn(300, 220, 4, 5, 50, 44));
    const Comparison c = Measured(plan, TypicalLino(seed));
    Show(seed % 2 == 1 ? "carved waves" : "carved rectangles", c);
    all.Add(c);
  }
  const Figures f = Show("all carved", all);
  EXPECT_EQ(f.recall, 1);
  EXPECT_EQ(all.false_finds, 0);
  EXPECT_EQ(f.gross, 0);
  EXPECT_LT(f.rms_mm, 0.08);
  EXPECT_LT(f.turn_rms_deg, 0.10);
  EXPECT_GT(f.within_2_sd, 0.85);
}

}  // namespace
}  // namespace truepull::testing
