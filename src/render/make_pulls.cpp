// SPDX-License-Identifier: Apache-2.0
// From true places to pulls that can be laid on the paper.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "render/ink.h"
#include "render/motif.h"
#include "render/random.h"
#include "truepull/colour.h"

namespace truepull::render {
namespace {

// Distances are tabulated this far from an edge: the widest band, fade and halo.
constexpr double kEdgeReachMm = 8;
constexpr double kLineReachMm = 1.5;

Rgb DensityOf(const std::string& hex) {
  Rgb out = LinearFromHex(hex);
  // Pure black would need endless ink; one part in 500 is blacker than any print.
  for (float& v : out) v = -std::log(std::max(v, 0.002F));
  return out;
}

Motif NextMotif(Motif motif, int plate) {
  if (motif == Motif::kNone) return motif;
  return static_cast<Motif>(1 + (static_cast<int>(motif) - 1 + plate) % 4);
}

// What the plate has drawn inside: the plan's own drawing, or a harbour one.
std::vector<Polyline> DrawingOf(const Plate& plate, const Outline& outline, Motif motif) {
  if (plate.drawn.empty()) return DrawMotif(motif, outline);
  std::vector<Polyline> lines;
  for (const DrawnLine& line : plate.drawn) {
    lines.push_back(line.points);
    if (line.closed) lines.back().push_back(line.points.front());
  }
  return lines;
}

std::shared_ptr<const PlateArt> MakeArt(const Plate& plate, const Outline& outline, const InkFaults& ink, int number) {
  auto art = std::make_shared<PlateArt>();
  art->outline = outline;
  art->edge = DistanceMap::OfOutline(outline, kEdgeReachMm);
  if (ink.motif != Motif::kNone) {
    art->scratches = DistanceMap::OfLines(DrawingOf(plate, outline, NextMotif(ink.motif, number)), kLineReachMm);
  }
  if (ink.carved) {
    art->carving =
        DistanceMap::OfLines(CarveSwell(outline, ink.motif != Motif::kNone), kLineReachMm);
  }
  return art;
}

/// tile_from_sheet and its scale for a pose, a growth of the paper, a size of plate.
void SetFrame(Pull& pull, const Pose& pose, const std::array<double, 4>& growth, double scale,
              bool mirrored) {
  const Rotation r(pose.turn_rad);
  const double flip = mirrored ? -scale : scale;
  // sheet_from_tile = growth * rotation * diag(flip, scale).
  const double a = (growth[0] * r.c + growth[1] * r.s) * flip;
  const double b = (growth[0] * -r.s + growth[1] * r.c) * scale;
  const double c = (growth[2] * r.c + growth[3] * r.s) * flip;
  const double d = (growth[2] * -r.s + growth[3] * r.c) * scale;
  const double det = a * d - b * c;
  pull.at = pose.at;
  pull.tile_from_sheet = {d / det, -b / det, -c / det, a / det};
  pull.mm_per_tile_mm = std::sqrt(std::abs(det));
}

}  // namespace

Rgb LinearFromHex(const std::string& hex) {
  Rgb out{0.2F, 0.2F, 0.2F};
  if (hex.size() != 7 || hex[0] != '#') return out;
  for (std::size_t k = 0; k < 3; ++k) {
    int byte = 0;
    for (std::size_t i = 1 + 2 * k; i < 3 + 2 * k; ++i) {
      const char ch = hex[i];
      const int digit = ch >= '0' && ch <= '9'   ? ch - '0'
                        : ch >= 'a' && ch <= 'f' ? ch - 'a' + 10
                        : ch >= 'A' && ch <= 'F' ? ch - 'A' + 10
                                                 : 0;
      byte = 16 * byte + digit;
    }
    out[k] = LinearOfCodes()[static_cast<std::size_t>(byte)];
  }
  return out;
}

std::vector<std::optional<Pull>> MakePulls(const Plan& plan, const RenderOptions& options,
                                           const std::vector<TruePull>& places) {
  const InkFaults& ink = options.ink;
  // Where the plan says what is drawn, nothing is imagined on its other plates.
  const bool own_drawings = std::any_of(plan.plates.begin(), plan.plates.end(), [](const Plate& p) { return !p.drawn.empty(); });
  InkFaults bare = ink;
  bare.motif = Motif::kNone;
  std::map<int, std::shared_ptr<const PlateArt>> arts;  // By plate.
  const std::array<double, 4> growth = options.sheet.stretch_after_printing
                                           ? SheetGrowth(plan, options.sheet)
                                           : std::array<double, 4>{1, 0, 0, 1};
  std::vector<std::optional<Pull>> pulls;
  for (const TruePull& place : places) {
    if (!place.printed) {
      pulls.push_back(std::nullopt);
      continue;
    }
    Pull pull;
    const CellMember& member = MemberAt(plan.lattice, place.site);
    auto& art = arts[member.plate];
    if (!art) {
      const Plate& plate = PlateAt(plan, place.site);
      art = MakeArt(plate, TruePlate(plate.outline, options), own_drawings && plate.drawn.empty() ? bare : ink, member.plate);
    }
    pull.art = art;
    SetFrame(pull, place.pose, growth, options.plate_scale, place.mirrored != member.mirrored);

    const std::string colour =
        place.colour >= 0 ? plan.colours[static_cast<std::size_t>(place.colour)] : "#303030";
    pull.body = DensityOf(colour);
    pull.ring = DensityOf(plan.edge_colour.empty() ? "#2a2420" : plan.edge_colour);
    pull.line = DensityOf("#1a1714");
    pull.seed = Key32(options.seed, Stream::kInk, place.site.row, place.site.column);
    Random chance(Key(options.seed, Stream::kInk, place.site.row, place.site.column));
    const double stroke = std::numbers::pi * (chance.Uniform(-0.5, 0.5));
    pull.stroke_c = static_cast<float>(std::cos(stroke));
    pull.stroke_s = static_cast<float>(std::sin(stroke));
    const double spread = chance.Normal();
    pull.strength = static_cast<float>(std::clamp(1 + ink.strength_sd * spread, 0.5, 1.4));
    const double press_spread = chance.Normal();
    pull.pressure = static_cast<float>(std::clamp(1 + 0.6 * ink.strength_sd * press_spread, 0.6, 1.3));
    pull.dark_lines = chance.Chance(ink.dark_lines_share);
    pull.line_depth = static_cast<float>(chance.Uniform(0.75, 1.0));
    const bool fades = chance.Chance(0.55 * ink.fade);
    pull.fade_from = static_cast<float>(chance.Uniform(0, 2 * std::numbers::pi));
    const double reach = chance.Uniform(4, 11) * ink.fade;
    pull.fade_reach_mm = fades ? static_cast<float>(std::min(reach, kEdgeReachMm - 0.5)) : 0;
    const double ghost = chance.Uniform(0.40, 0.58), weak = chance.Uniform(0.34, 0.55);
    if (place.ghost) {  // Most of the charge went with the first pull.
      pull.strength *= static_cast<float>(ghost);
      pull.pressure *= 0.66F;
    }
    if (place.weak) {
      pull.strength *= static_cast<float>(weak + 0.1);
      pull.pressure *= static_cast<float>(weak + 0.1);
    }
    pull.faint = place.ghost || place.weak;
    pulls.push_back(pull);
  }
  return pulls;
}

std::vector<std::optional<Pull>> MakeLaterPulls(const Plan& plan, const RenderOptions& options, std::size_t which,
                                                const std::vector<std::optional<Pose>>& places) {
  const LaterPass& pass = options.later_passes[which];
  const std::array<double, 4> growth{1 / (1 + pass.growth_x_percent / 100), 0, 0, 1 / (1 + pass.growth_y_percent / 100)};
  const int row_of_pass = RowOfPass(which);
  InkFaults plain = options.ink;
  plain.motif = Motif::kNone;
  plain.carved = false;
  std::map<int, std::shared_ptr<const PlateArt>> arts;  // By plate.
  const std::vector<Site> sites = AllSites(plan.lattice);
  std::vector<std::optional<Pull>> pulls;
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (!places[i]) {
      pulls.push_back(std::nullopt);
      continue;
    }
    const Site site = sites[i];
    const CellMember& member = MemberAt(plan.lattice, site);
    auto& art = arts[member.plate];
    if (!art) {
      art = MakeArt({}, pass.outline.empty() ? PlateAt(plan, site).outline : pass.outline, plain, 0);
    }
    Pull pull;
    pull.art = art;
    SetFrame(pull, *places[i], growth, 1, member.mirrored);
    pull.hiding = static_cast<float>(pass.hiding);
    pull.body = pull.ring = pull.line = DensityOf(pass.colour);
    pull.seed = Key32(options.seed, Stream::kSecondInk, row_of_pass + site.row, site.column);
    Random chance(Key(options.seed, Stream::kSecondInk, row_of_pass + site.row, site.column));
    const double stroke = std::numbers::pi * chance.Uniform(-0.5, 0.5);
    pull.stroke_c = static_cast<float>(std::cos(stroke));
    pull.stroke_s = static_cast<float>(std::sin(stroke));
    const double spread = chance.Normal();
    pull.strength = static_cast<float>(
        pass.strength * std::clamp(1 + options.ink.strength_sd * spread, 0.5, 1.4));
    pulls.push_back(pull);
  }
  return pulls;
}

}  // namespace truepull::render
