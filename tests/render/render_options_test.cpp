// SPDX-License-Identifier: Apache-2.0
// Options: off is off, chance repeats, and what cannot be is refused in words.
#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "render/render_support.h"

namespace truepull {
namespace {

RenderOptions Everything(std::uint64_t seed) {
  RenderOptions options = OptionsLike("hard", seed).value();
  options.width_px = 480;
  options.height_px = 320;
  options.paper.deckle_mm = 0.4;
  options.paper.tapes = 2;
  options.paper.dog_ear_corner = 1;
  options.table.second_sheet = true;
  options.ink.bleed_mm = 0.2;
  return options;
}

TEST(Render, SameSeedGivesTheSameBytes) {
  const auto a = RenderSheet(SmallPlan(), Everything(5)).value();
  const auto b = RenderSheet(SmallPlan(), Everything(5)).value();
  EXPECT_TRUE(SamePixels(a.bgr, b.bgr));
  EXPECT_EQ(a.truth, b.truth);
}

TEST(Render, AnotherSeedGivesAnotherSheet) {
  RenderOptions options = Everything(5);
  const auto a = RenderSheet(SmallPlan(), options).value();
  options.seed = 6;  // Only the chance, not the stand of the camera.
  const auto b = RenderSheet(SmallPlan(), options).value();
  EXPECT_FALSE(SamePixels(a.bgr, b.bgr));
  EXPECT_NE(a.truth, b.truth);
}

TEST(Render, NumberOfThreadsDoesNotMatter) {
  RenderOptions options = Everything(7);
  options.threads = 1;
  const auto one = RenderSheet(SmallPlan(), options).value();
  options.threads = 5;
  const auto five = RenderSheet(SmallPlan(), options).value();
  EXPECT_TRUE(SamePixels(one.bgr, five.bgr));
  EXPECT_EQ(one.truth, five.truth);
}

TEST(Render, WithoutFaultsTheSeedShowsNowhere) {
  RenderOptions options = SmallOptions();
  options.seed = 1;
  const auto a = RenderSheet(SmallPlan(), options).value();
  options.seed = 99;
  const auto b = RenderSheet(SmallPlan(), options).value();
  EXPECT_TRUE(SamePixels(a.bgr, b.bgr));
}

TEST(Render, SwitchingOnOneFaultLeavesTheChanceOfAnotherAlone) {
  RenderOptions options = SmallOptions();
  options.hand.sd_shift_mm = 1;
  const auto plain = RenderSheet(SmallPlan(), options).value();
  options.ink.mottle = 0.8;
  options.ink.strength_sd = 0.1;
  options.paper.finger_marks = 3;
  options.paper.cockle_mm = 0.5;
  const auto more = RenderSheet(SmallPlan(), options).value();
  for (std::size_t i = 0; i < plain.truth.size(); ++i) {
    EXPECT_EQ(plain.truth[i].pose, more.truth[i].pose);
  }
}

struct Fault {
  const char* name;
  std::function<void(RenderOptions&)> on;
};

TEST(Render, EveryFaultShowsInThePictureWhenSwitchedOn) {
  const std::vector<Fault> faults = {
      {"hand shift", [](auto& o) { o.hand.sd_shift_mm = 1; }},
      {"hand turn", [](auto& o) { o.hand.sd_turn_rad = 0.02; }},
      {"habit", [](auto& o) { o.hand.habit_shift_mm = {1, 0}; }},
      {"habit turn", [](auto& o) { o.hand.habit_turn_rad = 0.02; }},
      {"creep", [](auto& o) { o.hand.creep_per_row_mm = 0.7; }},
      {"sheet shift", [](auto& o) { o.sheet.shift_mm = {1, 1}; }},
      {"stretch", [](auto& o) { o.sheet.stretch_across_percent = 2; }},
      {"plate scale", [](auto& o) { o.plate_scale = 1.03; }},
      {"half step", [](auto& o) { o.half_step_row = 1; }},
      {"mirrored", [](auto& o) { o.ink.motif = Motif::kBoat; o.site_faults = {FaultAt({0, 0}, [](SiteFault& f) { f.mirrored = true; })}; }},
      {"relief", [](auto& o) { o.ink.look = InkLook::kRelief; o.ink.rim = 1; }},
      {"speckle", [](auto& o) { o.ink.look = InkLook::kRelief; o.ink.speckle = 1; }},
      {"mottle", [](auto& o) { o.ink.mottle = 0.8; }},
      {"ragged", [](auto& o) { o.ink.ragged_mm = 0.3; }},
      {"fade", [](auto& o) { o.ink.fade = 1; }},
      {"ring", [](auto& o) { o.ink.edge_ring_mm = 2; }},
      {"strength", [](auto& o) { o.ink.strength_sd = 0.2; }},
      {"gull", [](auto& o) { o.ink.motif = Motif::kGull; }},
      {"wave", [](auto& o) { o.ink.motif = Motif::kWave; }},
      {"anchor", [](auto& o) { o.ink.motif = Motif::kAnchor; }},
      {"dark lines", [](auto& o) { o.ink.motif = Motif::kGull; o.ink.dark_lines_share = 1; }},
      {"carved", [](auto& o) { o.ink.carved = true; }},
      {"bleed", [](auto& o) { o.ink.bleed_mm = 0.8; }},
      {"ghosts", [](auto& o) { o.ink.ghost_share = 1; }},
      {"weak", [](auto& o) { o.ink.weak_share = 1; }},
      {"missing", [](auto& o) { o.ink.missing_share = 1; }},
      {"texture", [](auto& o) { o.paper.texture = 1; }},
      {"cockle", [](auto& o) { o.paper.cockle_mm = 1; }},
      {"deckle", [](auto& o) { o.paper.deckle_mm = 1; }},
      {"dog ear", [](auto& o) { o.paper.dog_ear_corner = 2; }},
      {"fingers", [](auto& o) { o.paper.finger_marks = 4; }},
      {"pencil", [](auto& o) { o.paper.pencil_lines = 3; }},
      {"tape", [](auto& o) { o.paper.tapes = 1; }},
      {"wood", [](auto& o) { o.table.look = TableLook::kWood; }},
      {"check", [](auto& o) { o.table.look = TableLook::kCheck; }},
      {"stone", [](auto& o) { o.table.look = TableLook::kStone; }},
      {"clutter", [](auto& o) { o.table.clutter = 8; }},
      {"second sheet", [](auto& o) { o.table.second_sheet = true; }},
      {"no sheet", [](auto& o) { o.table.no_sheet = true; }},
      {"uneven", [](auto& o) { o.light.uneven = 0.4; }},
      {"shadow", [](auto& o) { o.light.shadow = 0.4; }},
      {"warm", [](auto& o) { o.light.warmth = 0.5; }},
      {"sheet shadow", [](auto& o) { o.light.sheet_shadow = 1; }},
      {"tilt", [](auto& o) { o.camera.tilt_rad = 0.2; }},
      {"roll", [](auto& o) { o.camera.roll_rad = 0.1; }},
      {"quarter turns", [](auto& o) { o.camera.quarter_turns = 1; }},
      {"offset", [](auto& o) { o.camera.offset = {0.3, 0}; }},
      {"distortion", [](auto& o) { o.camera.k1 = 0.05; }},
      {"vignetting", [](auto& o) { o.camera.vignetting = 0.3; }},
      {"blur", [](auto& o) { o.camera.blur_px = 1; }},
      {"motion", [](auto& o) { o.camera.motion_px = 3; }},
      {"noise", [](auto& o) { o.camera.noise = 0.02; }},
  };
  RenderOptions off = SmallOptions();
  off.width_px = 240;
  off.height_px = 160;
  // A visible step at the plates' edges in both colours.
  const auto plain = RenderSheet(SmallPlan(), off).value();
  for (const Fault& fault : faults) {
    RenderOptions on = off;
    fault.on(on);
    const auto picture = RenderSheet(SmallPlan(), on);
    ASSERT_TRUE(picture.has_value()) << fault.name;
    EXPECT_FALSE(SamePixels(plain.bgr, picture->bgr)) << fault.name;
  }
}

TEST(Render, RefusesWhatCannotBeInPlainWords) {
  RenderOptions options = SmallOptions();
  options.ink.mottle = 1.5;
  auto failed = RenderSheet(SmallPlan(), options);
  ASSERT_FALSE(failed.has_value());
  EXPECT_EQ(failed.error().code, ErrorCode::kBadArgument);
  EXPECT_EQ(failed.error().message, "mottle must be from 0 to 1, not 1.5");

  options = SmallOptions();
  options.hand.sd_shift_mm = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(RenderSheet(SmallPlan(), options).error().message,
            "hand shift sd (mm) must be from 0 to 50, not nan");

  options = SmallOptions();
  options.site_faults = {FaultAt({2, 0}, [](SiteFault& f) { f.weak = true; })};
  failed = RenderSheet(SmallPlan(), options);
  ASSERT_FALSE(failed.has_value());
  EXPECT_EQ(failed.error().message, "the plan has no site in row 2, column 0");
  EXPECT_EQ(failed.error().hint, "rows run from 0 to 1, columns from 0 to 2");

  options = SmallOptions();
  options.later_passes = {LaterPass{}};
  EXPECT_EQ(RenderSheet(SmallPlan(), options).error().message,
            "a later pass names 0 places, the plan has 6 sites");
}

TEST(Render, KnowsThreeSetsOfFaultsByName) {
  for (const char* name : {"easy", "typical", "hard"}) {
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
      const auto options = OptionsLike(name, seed);
      ASSERT_TRUE(options.has_value());
      EXPECT_TRUE(options->Validate().has_value()) << name << " " << seed << ": " << options->Validate().error().message;
    }
  }
  const auto other = OptionsLike("awful", 1);
  ASSERT_FALSE(other.has_value());
  EXPECT_EQ(other.error().message, "there is no set of faults named 'awful'");
}

TEST(RenderInk, OverlapsMultiply) {
  // Two pulls of one colour that overlap by 4 mm: there the light is paper x R x R.
  Plan plan = SmallPlan();
  plan.colours = {"#a0b060"};
  plan.lattice.across = {36, 0};
  const RenderedSheet sheet = RenderSheet(plan, SmallOptions()).value();
  const double paper = GreenAt(sheet, {8, 8});
  const double one = GreenAt(sheet, {40, 30}) / paper, both = GreenAt(sheet, {58, 30}) / paper;
  EXPECT_NEAR(one, Linear(0xb0), 0.006);
  EXPECT_NEAR(both, Linear(0xb0) * Linear(0xb0), 0.006);
}

}  // namespace
}  // namespace truepull
