// SPDX-License-Identifier: Apache-2.0
#include "cli/simulate_flags.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cctype>
#include <charconv>
#include <map>
#include <numbers>
#include <optional>
#include <string>

#include "truepull/units.h"

namespace truepull {
namespace {

using Set = std::function<void(RenderOptions&, double)>;

class Flags {
 public:
  Flags(CLI::App& command, SimulateChanges& changes) : command_(command), changes_(changes) {}

  void Group(std::string name) { group_ = std::move(name); }

  /// A flag that takes one number; `type` names its unit.
  void Number(const char* name, const char* type, const char* help, Set set) {
    command_
        .add_option_function<double>(
            name,
            [changes = &changes_, set](double value) {
              changes->push_back([set, value](RenderOptions& o) { set(o, value); });
            },
            help)
        ->type_name(type)
        ->group(group_);
  }

  void Switch(const char* name, const char* help, std::function<void(RenderOptions&)> set) {
    command_
        .add_flag_callback(name, [changes = &changes_, set] { changes->push_back(set); }, help)
        ->group(group_);
  }

  template <typename Enum>
  void Choice(const char* name, const char* help, std::map<std::string, Enum> names,
              std::function<void(RenderOptions&, Enum)> set) {
    std::string words;
    for (const auto& [word, value] : names) words += (words.empty() ? "" : "|") + word;
    command_
        .add_option_function<std::string>(
            name,
            [changes = &changes_, set, names](const std::string& word) {
              const Enum value = names.at(word);
              changes->push_back([set, value](RenderOptions& o) { set(o, value); });
            },
            help)
        ->check(CLI::Validator(
            [names, words](std::string& word) {
              return names.contains(word) ? std::string()
                                          : fmt::format("'{}' is not one of {}", word, words);
            },
            words))
        ->group(group_);
  }

  /// A flag that names sites by their label, e.g. C2, any number of them.
  void Sites(const char* name, const char* help, std::function<void(SiteFault&)> set) {
    command_
        .add_option_function<std::vector<std::string>>(
            name,
            [changes = &changes_, name, set](const std::vector<std::string>& labels) {
              for (const std::string& label : labels) {
                const auto site = SiteFromLabel(label);
                if (!site) {
                  throw CLI::ValidationError(
                      name, fmt::format("'{}' is not a site; write a row letter and a column number, e.g. C2", label));
                }
                SiteFault fault;
                fault.site = *site;
                set(fault);
                changes->push_back([fault](RenderOptions& o) { o.site_faults.push_back(fault); });
              }
            },
            help)
        ->type_name("SITE ...")
        ->group(group_);
  }

 private:
  static std::optional<Site> SiteFromLabel(const std::string& label) {
    std::size_t i = 0;
    int row = 0;
    while (i < label.size() && i < 3 && std::isalpha(static_cast<unsigned char>(label[i])) != 0) {
      row = 26 * row + (std::toupper(static_cast<unsigned char>(label[i])) - 'A' + 1);
      ++i;
    }
    int column = 0;
    const char* end = label.data() + label.size();
    const auto [at, error] = std::from_chars(label.data() + i, end, column);
    if (i == 0 || error != std::errc() || at != end || column < 1) return std::nullopt;
    return Site{row - 1, column - 1};
  }

  CLI::App& command_;
  SimulateChanges& changes_;
  std::string group_;
};

using O = RenderOptions&;

void AddPlaceFlags(Flags& f) {
  f.Group("Where the pulls land");
  f.Number("--hand-sd", "MM", "Chance of the hand: spread of the shift, each way", [](O o, double v) { o.hand.sd_shift_mm = v; });
  f.Number("--hand-turn-sd", "DEG", "Chance of the hand: spread of the turn", [](O o, double v) { o.hand.sd_turn_rad = RadFromDeg(v); });
  f.Number("--habit-x", "MM", "Every pull this far to the right", [](O o, double v) { o.hand.habit_shift_mm.x = v; });
  f.Number("--habit-y", "MM", "Every pull this far down", [](O o, double v) { o.hand.habit_shift_mm.y = v; });
  f.Number("--habit-turn", "DEG", "Every pull turned, clockwise", [](O o, double v) { o.hand.habit_turn_rad = RadFromDeg(v); });
  f.Number("--creep-column", "MM", "Error that piles up from column to column", [](O o, double v) { o.hand.creep_per_column_mm = v; });
  f.Number("--creep-row", "MM", "Error that piles up from row to row", [](O o, double v) { o.hand.creep_per_row_mm = v; });
  f.Number("--sheet-x", "MM", "The whole lattice shifted right", [](O o, double v) { o.sheet.shift_mm.x = v; });
  f.Number("--sheet-y", "MM", "The whole lattice shifted down", [](O o, double v) { o.sheet.shift_mm.y = v; });
  f.Number("--sheet-turn", "DEG", "The whole lattice turned, clockwise", [](O o, double v) { o.sheet.turn_rad = RadFromDeg(v); });
  f.Number("--stretch-along", "PERCENT", "Lattice stretched along the grain", [](O o, double v) { o.sheet.stretch_along_percent = v; });
  f.Number("--stretch-across", "PERCENT", "Lattice stretched across the grain", [](O o, double v) { o.sheet.stretch_across_percent = v; });
  f.Switch("--stretch-after", "The paper moved after printing: the tiles stretch too", [](O o) { o.sheet.stretch_after_printing = true; });
  f.Number("--plate-scale", "RATIO", "Plates cut to another size (1.03: 3 % too large)", [](O o, double v) { o.plate_scale = v; });
  f.Number("--half-step-row", "ROW", "This row (from 0) half a step too far right", [](O o, double v) { o.half_step_row = static_cast<int>(v); });
  f.Number("--half-step-column", "COLUMN", "This column (from 0) half a step too far down", [](O o, double v) { o.shifted_lines.push_back({true, static_cast<int>(v), 0.5}); });
  f.Number("--whole-step-row", "ROW", "This row (from 0) a whole step too far right", [](O o, double v) { o.shifted_lines.push_back({false, static_cast<int>(v), 1}); });
  f.Number("--cut-right", "MM", "Plates cut so much short on their right side (as printed)", [](O o, double v) { o.cut_mm = v; });
  f.Sites("--turned", "Sites printed upside down, e.g. C2", [](SiteFault& s) { s.turn_rad = std::numbers::pi; });
  f.Sites("--quarter-turned", "Sites printed a quarter turn round, clockwise", [](SiteFault& s) { s.turn_rad = std::numbers::pi / 2; });
  f.Sites("--mirrored", "Sites printed from the back", [](SiteFault& s) { s.mirrored = true; });
}

void AddInkFlags(Flags& f) {
  f.Group("How the pulls look");
  f.Choice<InkLook>("--ink", "Kind of print", {{"crayon", InkLook::kCrayon}, {"relief", InkLook::kRelief}}, [](O o, InkLook v) { o.ink.look = v; });
  f.Number("--mottle", "0..1", "Streaks of the strokes and the paper's tooth", [](O o, double v) { o.ink.mottle = v; });
  f.Number("--ragged", "MM", "Raggedness of the edge", [](O o, double v) { o.ink.ragged_mm = v; });
  f.Number("--fade", "0..1", "Edges that fade out", [](O o, double v) { o.ink.fade = v; });
  f.Number("--ring", "MM", "Width of the band of edge colour; usual 2", [](O o, double v) { o.ink.edge_ring_mm = v; });
  f.Number("--strength-sd", "SHARE", "Spread of the deposit from pull to pull", [](O o, double v) { o.ink.strength_sd = v; });
  f.Choice<Motif>("--motif", "Drawing scratched into the plate",
                  {{"none", Motif::kNone}, {"gull", Motif::kGull}, {"wave", Motif::kWave}, {"anchor", Motif::kAnchor}, {"boat", Motif::kBoat}},
                  [](O o, Motif v) { o.ink.motif = v; });
  f.Number("--dark-lines", "SHARE", "Share of pulls whose drawing prints dark", [](O o, double v) { o.ink.dark_lines_share = v; });
  f.Switch("--carved", "Lines carved into the plate", [](O o) { o.ink.carved = true; });
  f.Number("--rim", "0..1", "Ink squeezed to a darker rim (relief)", [](O o, double v) { o.ink.rim = v; });
  f.Number("--speckle", "0..1", "Small bare spots (relief)", [](O o, double v) { o.ink.speckle = v; });
  f.Number("--bleed", "MM", "Reach of a wet halo", [](O o, double v) { o.ink.bleed_mm = v; });
  f.Number("--ghosts", "SHARE", "Chance that a pull is a ghost", [](O o, double v) { o.ink.ghost_share = v; });
  f.Number("--weak", "SHARE", "Chance that a pull is weak", [](O o, double v) { o.ink.weak_share = v; });
  f.Number("--missing", "SHARE", "Chance that a site was not printed", [](O o, double v) { o.ink.missing_share = v; });
  f.Sites("--ghost-at", "Sites that are ghosts", [](SiteFault& s) { s.ghost = true; });
  f.Sites("--weak-at", "Sites that are weak", [](SiteFault& s) { s.weak = true; });
  f.Sites("--missing-at", "Sites that were not printed", [](SiteFault& s) { s.missing = true; });
}

void AddPaperFlags(Flags& f) {
  f.Group("Paper and table");
  f.Number("--texture", "0..1", "Visible grain of the paper", [](O o, double v) { o.paper.texture = v; });
  f.Number("--cockle", "MM", "Cockled paper: spread of its height", [](O o, double v) { o.paper.cockle_mm = v; });
  f.Number("--deckle", "MM", "Hand-torn sides", [](O o, double v) { o.paper.deckle_mm = v; });
  f.Number("--dog-ear", "CORNER", "Folded corner, 0..3 from the top left, clockwise", [](O o, double v) { o.paper.dog_ear_corner = static_cast<int>(v); });
  f.Number("--fingers", "N", "Finger marks", [](O o, double v) { o.paper.finger_marks = static_cast<int>(v); });
  f.Number("--pencil", "N", "Pencil lines", [](O o, double v) { o.paper.pencil_lines = static_cast<int>(v); });
  f.Number("--tape", "N", "Strips of tape over the sides, 0..4", [](O o, double v) { o.paper.tapes = static_cast<int>(v); });
  f.Number("--margin-marks", "0..1", "The crosses of `truepull next --marks` in the margin: pencil 0.6, print 1", [](O o, double v) { o.paper.margin_marks = v; });
  f.Number("--margin-marks-sd", "MM", "... spread of their places", [](O o, double v) { o.paper.margin_marks_sd_mm = v; });
  f.Choice<TableLook>("--table", "What the sheet lies on",
                      {{"plain", TableLook::kPlain}, {"wood", TableLook::kWood}, {"check", TableLook::kCheck}, {"stone", TableLook::kStone}},
                      [](O o, TableLook v) { o.table.look = v; });
  f.Number("--clutter", "N", "Things that lie about", [](O o, double v) { o.table.clutter = static_cast<int>(v); });
  f.Switch("--second-sheet", "Another sheet of the edition beside this one", [](O o) { o.table.second_sheet = true; });
  f.Number("--card", "NUMBER", "A sheet card (of `truepull cards`) to the right of the sheet; make room: --fill 0.72 --offset-x -0.11", [](O o, double v) { o.table.card = static_cast<int>(v); });
  f.Number("--card-pass", "N", "The pass that the card shows; usual 1", [](O o, double v) { o.table.card_pass = static_cast<int>(v); });
  f.Switch("--no-sheet", "The table alone", [](O o) { o.table.no_sheet = true; });
}

void AddCameraFlags(Flags& f) {
  f.Group("Light and camera");
  f.Number("--uneven", "0..1", "Light that falls off across the picture", [](O o, double v) { o.light.uneven = v; });
  f.Number("--shadow", "0..1", "A soft shadow over the sheet", [](O o, double v) { o.light.shadow = v; });
  f.Number("--warm", "-1..1", "Lamplight, or blue daylight below 0", [](O o, double v) { o.light.warmth = v; });
  f.Number("--sheet-shadow", "0..1", "The sheet's own shadow on the table", [](O o, double v) { o.light.sheet_shadow = v; });
  f.Number("--tilt", "DEG", "Camera held aslant", [](O o, double v) { o.camera.tilt_rad = RadFromDeg(v); });
  f.Number("--tilt-towards", "DEG", "Where the far side is, clockwise from the right", [](O o, double v) { o.camera.tilt_towards_rad = RadFromDeg(v); });
  f.Number("--roll", "DEG", "Camera turned about its axis", [](O o, double v) { o.camera.roll_rad = RadFromDeg(v); });
  f.Number("--quarter-turns", "N", "The sheet lies turned by N quarters, clockwise", [](O o, double v) { o.camera.quarter_turns = static_cast<int>(v); });
  f.Number("--offset-x", "SHARE", "Sheet off the picture's middle, share of its width", [](O o, double v) { o.camera.offset.x = v; });
  f.Number("--offset-y", "SHARE", "... and of its height", [](O o, double v) { o.camera.offset.y = v; });
  f.Number("--fill", "SHARE", "Share of the picture that the sheet takes up", [](O o, double v) { o.camera.fill = v; });
  f.Number("--focal", "SHARE", "Focal length over the picture's longer side", [](O o, double v) { o.camera.focal_share = v; });
  f.Number("--distortion", "K1", "Radial distortion of the lens", [](O o, double v) { o.camera.k1 = v; });
  f.Number("--distortion2", "K2", "... its second term", [](O o, double v) { o.camera.k2 = v; });
  f.Number("--vignetting", "0..1", "Darker corners", [](O o, double v) { o.camera.vignetting = v; });
  f.Number("--blur", "PX", "Blur", [](O o, double v) { o.camera.blur_px = v; });
  f.Number("--motion", "PX", "Smear of a moving hand", [](O o, double v) { o.camera.motion_px = v; });
  f.Number("--motion-towards", "DEG", "... its direction", [](O o, double v) { o.camera.motion_towards_rad = RadFromDeg(v); });
  f.Number("--noise", "SHARE", "Sensor noise at white; phones 0.005-0.03", [](O o, double v) { o.camera.noise = v; });
  f.Number("--samples", "N", "Samples across a pixel at edges; usual 2", [](O o, double v) { o.samples = static_cast<int>(v); });
}

}  // namespace

void AddSimulateFlags(CLI::App& command, SimulateChanges& changes) {
  Flags flags(command, changes);
  AddPlaceFlags(flags);
  AddInkFlags(flags);
  AddPaperFlags(flags);
  AddCameraFlags(flags);
}

}  // namespace truepull
