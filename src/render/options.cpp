// SPDX-License-Identifier: Apache-2.0
// Which options can be, and the ready-made sets of them.
#include <cmath>
#include <iterator>
#include <numbers>
#include <vector>

#include <fmt/format.h>

#include "render/random.h"
#include "truepull/marker_cards.h"
#include "truepull/render.h"
#include "truepull/units.h"

namespace truepull {
namespace {

struct Range {
  const char* name;
  double value, low, high;
};

}  // namespace

Status RenderOptions::Validate() const {
  const double infinity = 1e6;
  const Range ranges[] = {
      {"photo width (px)", static_cast<double>(width_px), 16, 20000},
      {"photo height (px)", static_cast<double>(height_px), 16, 20000},
      {"samples across a pixel", static_cast<double>(samples), 1, 16},
      {"threads", static_cast<double>(threads), 0, 1024},
      {"hand shift sd (mm)", hand.sd_shift_mm, 0, 50},
      {"hand turn sd (rad)", hand.sd_turn_rad, 0, 3},
      {"habit shift x (mm)", hand.habit_shift_mm.x, -500, 500},
      {"habit shift y (mm)", hand.habit_shift_mm.y, -500, 500},
      {"habit turn (rad)", hand.habit_turn_rad, -7, 7},
      {"creep per column (mm)", hand.creep_per_column_mm, -50, 50},
      {"creep per row (mm)", hand.creep_per_row_mm, -50, 50},
      {"sheet shift x (mm)", sheet.shift_mm.x, -500, 500},
      {"sheet shift y (mm)", sheet.shift_mm.y, -500, 500},
      {"sheet turn (rad)", sheet.turn_rad, -7, 7},
      {"stretch along (%)", sheet.stretch_along_percent, -20, 20},
      {"stretch across (%)", sheet.stretch_across_percent, -20, 20},
      {"mottle", ink.mottle, 0, 1},
      {"ragged edge (mm)", ink.ragged_mm, 0, 3},
      {"fading", ink.fade, 0, 1},
      {"edge ring (mm)", ink.edge_ring_mm, 0, 6},
      {"spread of strength", ink.strength_sd, 0, 1},
      {"share of dark lines", ink.dark_lines_share, 0, 1},
      {"rim", ink.rim, 0, 1},
      {"speckle", ink.speckle, 0, 1},
      {"bleeding (mm)", ink.bleed_mm, 0, 2.5},
      {"share of ghosts", ink.ghost_share, 0, 1},
      {"share of weak pulls", ink.weak_share, 0, 1},
      {"share of missing pulls", ink.missing_share, 0, 1},
      {"paper texture", paper.texture, 0, 1},
      {"cockle (mm)", paper.cockle_mm, 0, 10},
      {"deckle (mm)", paper.deckle_mm, 0, 5},
      {"dog-eared corner", static_cast<double>(paper.dog_ear_corner), -1, 3},
      {"dog-ear (mm)", paper.dog_ear_mm, 0, 200},
      {"finger marks", static_cast<double>(paper.finger_marks), 0, 100},
      {"pencil lines", static_cast<double>(paper.pencil_lines), 0, 100},
      {"tapes", static_cast<double>(paper.tapes), 0, 4},
      {"margin marks", paper.margin_marks, 0, 1},
      {"spread of the margin marks (mm)", paper.margin_marks_sd_mm, 0, 5},
      {"clutter", static_cast<double>(table.clutter), 0, 200},
      {"number of the sheet card", static_cast<double>(table.card), 0, kSheetNumbers},
      {"pass of the sheet card", static_cast<double>(table.card_pass), 1, kPassNumbers},
      {"uneven light", light.uneven, 0, 1},
      {"shadow", light.shadow, 0, 1},
      {"warmth", light.warmth, -1, 1},
      {"the sheet's own shadow", light.sheet_shadow, 0, 1},
      {"camera tilt (rad)", camera.tilt_rad, 0, 1.05},
      {"direction of the tilt (rad)", camera.tilt_towards_rad, -7, 7},
      {"camera roll (rad)", camera.roll_rad, -7, 7},
      {"quarter turns", static_cast<double>(camera.quarter_turns), 0, 3},
      {"camera offset x", camera.offset.x, -1, 1},
      {"camera offset y", camera.offset.y, -1, 1},
      {"fill", camera.fill, 0.02, 5},
      {"focal length (share of the longer side)", camera.focal_share, 0.3, 5},
      {"radial distortion k1", camera.k1, -0.3, 0.5},
      {"radial distortion k2", camera.k2, -0.3, 0.5},
      {"vignetting", camera.vignetting, 0, 1},
      {"blur (px)", camera.blur_px, 0, 30},
      {"motion (px)", camera.motion_px, 0, 60},
      {"direction of the motion (rad)", camera.motion_towards_rad, -7, 7},
      {"sensor noise", camera.noise, 0, 1},
      {"plate scale", plate_scale, 0.2, 5},
      {"cut of the plate (mm)", cut_mm, 0, 50},
      {"side that was cut (rad)", cut_towards_rad, -7, 7},
      {"row half a step off", static_cast<double>(half_step_row), -1, infinity},
  };
  std::vector<Range> all(std::begin(ranges), std::end(ranges));
  for (const LaterPass& pass : later_passes) {
    all.push_back({"strength of a later pass", pass.strength, 0, 2});
    all.push_back({"hiding of a later pass", pass.hiding, 0, 1});
    all.push_back({"later hand shift sd (mm)", pass.sd_shift_mm, 0, 50});
    all.push_back({"later hand turn sd (rad)", pass.sd_turn_rad, 0, 3});
    all.push_back({"later growth in x (per cent)", pass.growth_x_percent, -10, 10});
    all.push_back({"later growth in y (per cent)", pass.growth_y_percent, -10, 10});
  }
  for (const Range& r : all) {
    if (std::isfinite(r.value) && r.value >= r.low && r.value <= r.high) continue;
    return Error{ErrorCode::kBadArgument,
                 r.high < infinity
                     ? fmt::format("{} must be from {} to {}, not {}", r.name, r.low, r.high, r.value)
                     : fmt::format("{} must be {} or more, not {}", r.name, r.low, r.value),
                 ""};
  }
  return Done{};
}

Result<RenderOptions> OptionsLike(std::string_view name, std::uint64_t seed) {
  const int tier = name == "easy" ? 0 : name == "typical" ? 1 : name == "hard" ? 2 : -1;
  if (tier < 0) {
    return Error{ErrorCode::kBadArgument, fmt::format("there is no set of faults named '{}'", name),
                 "choose easy, typical or hard"};
  }
  const auto of = [tier](double easy, double typical, double hard) {
    return tier == 0 ? easy : tier == 1 ? typical : hard;
  };
  render::Random chance(render::Key(seed, render::Stream::kPreset, tier));
  constexpr double kFull = 2 * std::numbers::pi;

  RenderOptions o;
  o.seed = seed;
  o.hand.sd_shift_mm = of(0.6, 1.2, 1.8);
  o.hand.sd_turn_rad = RadFromDeg(of(0.3, 0.8, 1.3));
  o.hand.habit_shift_mm = {of(0.2, 0.5, 0.8) * chance.Normal(), of(0.2, 0.5, 0.8) * chance.Normal()};
  o.hand.habit_turn_rad = RadFromDeg(of(0.1, 0.3, 0.5) * chance.Normal());
  o.sheet.shift_mm = {of(0.3, 0.8, 1.2) * chance.Normal(), of(0.3, 0.8, 1.2) * chance.Normal()};
  o.sheet.turn_rad = RadFromDeg(of(0.1, 0.3, 0.5) * chance.Normal());
  o.sheet.stretch_along_percent = of(0.05, 0.1, 0.2) * chance.Normal();
  o.sheet.stretch_across_percent = of(0.2, 0.5, 0.8) * chance.Normal();

  const bool relief = chance.Chance(0.25);
  o.ink.look = relief ? InkLook::kRelief : InkLook::kCrayon;
  o.ink.mottle = relief ? 0 : of(0.62, 0.78, 0.95);
  o.ink.rim = relief ? 0.8 : 0;
  o.ink.speckle = relief ? of(0.4, 0.6, 0.9) : 0;
  o.ink.carved = relief;
  o.ink.ragged_mm = relief ? of(0.02, 0.04, 0.07) : of(0.07, 0.12, 0.22);
  o.ink.fade = relief ? of(0, 0.1, 0.3) : of(0, 0.2, 0.5);
  o.ink.edge_ring_mm = relief ? 0 : 2;
  o.ink.strength_sd = of(0.06, 0.1, 0.15);
  o.ink.motif = static_cast<Motif>(1 + chance.Below(4));
  o.ink.dark_lines_share = relief ? 0 : 0.35;
  o.ink.bleed_mm = chance.Chance(of(0, 0.2, 0.4)) ? of(0, 0.12, 0.25) : 0;
  o.ink.ghost_share = of(0, 0.08, 0.14);
  o.ink.weak_share = of(0, 0, 0.05);
  o.ink.missing_share = of(0, 0.04, 0.12);

  o.paper.texture = 0.8;
  o.paper.cockle_mm = of(0, 0.1, 0.25);
  o.paper.dog_ear_corner = chance.Chance(of(0, 0, 0.5)) ? chance.Below(4) : -1;
  o.paper.finger_marks = static_cast<int>(of(0, 1, 4));
  o.paper.pencil_lines = static_cast<int>(of(0, 0, 2));

  o.table.look = static_cast<TableLook>(1 + chance.Below(3));
  o.table.clutter = static_cast<int>(of(1, 4, 9));

  o.light.uneven = of(0.15, 0.3, 0.45);
  o.light.shadow = of(0, 0.12, 0.38);
  o.light.warmth = of(0.15, 0.3, 0.6) * chance.Uniform(-0.3, 1);
  o.light.sheet_shadow = 0.8;

  o.camera.tilt_rad = RadFromDeg(of(4, 9, 16) * chance.Uniform(0.5, 1.2));
  o.camera.tilt_towards_rad = chance.Uniform(0, kFull);
  o.camera.roll_rad = RadFromDeg(of(2, 3, 5) * chance.Uniform(-1, 1));
  o.camera.offset = {0.01 * chance.Normal(), 0.01 * chance.Normal()};
  o.camera.fill = 0.84;
  o.camera.k1 = of(0.01, 0.03, 0.05) * chance.Uniform(-1, 1);
  o.camera.vignetting = of(0.08, 0.15, 0.28);
  o.camera.blur_px = of(0.6, 0.8, 1.2);
  o.camera.motion_px = of(0, 0, 1.5);
  o.camera.motion_towards_rad = chance.Uniform(0, kFull);
  o.camera.noise = of(0.006, 0.012, 0.025);
  return o;
}

}  // namespace truepull
