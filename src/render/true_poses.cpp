// SPDX-License-Identifier: Apache-2.0
#include "render/true_poses.h"

#include <numbers>

#include "render/random.h"

namespace truepull::render {
namespace {

Point Along(Point step) {
  const double length = Norm(step);
  return length > 0 ? (1 / length) * step : Point{};
}

int ColourOf(const Plan& plan, Site site) {
  const int planned = PlannedColour(plan, site);
  if (planned >= 0 || plan.colours.empty()) return planned;
  return (site.row + site.column) % static_cast<int>(plan.colours.size());
}

}  // namespace

std::array<double, 4> SheetGrowth(const Plan& plan, const SheetFaults& faults) {
  const bool along_y = plan.sheet.grain == Grain::kY;
  const double along = 1 + faults.stretch_along_percent / 100;
  const double across = 1 + faults.stretch_across_percent / 100;
  return {along_y ? across : along, 0, 0, along_y ? along : across};
}

std::vector<TruePull> PlacePulls(const Plan& plan, const RenderOptions& options) {
  const Lattice& lattice = plan.lattice;
  const HandFaults& hand = options.hand;
  const InkFaults& ink = options.ink;
  const std::array<double, 4> growth = SheetGrowth(plan, options.sheet);
  const Rotation sheet_turn(options.sheet.turn_rad);
  const Point centre = LatticeCentre(lattice);
  const Point column_way = Along(lattice.across), row_way = Along(lattice.down);
  const int members = static_cast<int>(lattice.cell.size());

  std::vector<TruePull> pulls;
  for (const Site site : AllSites(lattice)) {
    const Pose ideal = IdealPose(lattice, site);
    TruePull pull;
    pull.site = site;
    pull.colour = ColourOf(plan, site);

    const Point from = ideal.at - centre;
    const Point grown{growth[0] * from.x + growth[1] * from.y,
                      growth[2] * from.x + growth[3] * from.y};
    Point at = centre + options.sheet.shift_mm + sheet_turn * grown;
    double turn = ideal.turn_rad + options.sheet.turn_rad;

    at = at + hand.habit_shift_mm +
         (hand.creep_per_column_mm * (site.column / members)) * column_way +
         (hand.creep_per_row_mm * site.row) * row_way;
    turn += hand.habit_turn_rad;
    Random chance(Key(options.seed, Stream::kHand, site.row, site.column));
    const double x = chance.Normal(), y = chance.Normal(), t = chance.Normal();
    at = at + Point{hand.sd_shift_mm * x, hand.sd_shift_mm * y};
    turn += hand.sd_turn_rad * t;
    if (site.row == options.half_step_row) at = at + 0.5 * lattice.across;
    for (const ShiftedLine& line : options.shifted_lines) {
      if (line.index != (line.column ? site.column : site.row)) continue;
      at = at + line.steps * (line.column ? lattice.down : lattice.across);
    }

    Random fate(Key(options.seed, Stream::kState, site.row, site.column));
    pull.printed = !fate.Chance(ink.missing_share);
    pull.weak = fate.Chance(ink.weak_share);
    pull.ghost = fate.Chance(ink.ghost_share);
    for (const SiteFault& fault : options.site_faults) {
      if (fault.site != site) continue;
      if (fault.missing) pull.printed = false;
      pull.weak = pull.weak || fault.weak;
      pull.ghost = pull.ghost || fault.ghost;
      pull.mirrored = fault.mirrored;
      at = at + fault.shift_mm;
      turn += fault.turn_rad;
    }
    pull.pose = {at, WrapTurn(turn)};
    pulls.push_back(pull);
  }
  return pulls;
}

std::vector<TruePull> PlaceExtraPulls(const Plan& plan, const RenderOptions& options) {
  std::vector<TruePull> pulls;
  for (std::size_t i = 0; i < options.extra_pulls.size(); ++i) {
    TruePull pull;
    // A row of their own gives each its own chance; the first cell's plate prints them.
    pull.site = {-1, static_cast<int>(i * plan.lattice.cell.size())};
    pull.pose = options.extra_pulls[i];
    pull.colour = plan.colours.empty() ? -1 : static_cast<int>(i % plan.colours.size());
    pulls.push_back(pull);
  }
  return pulls;
}

Outline TruePlate(const Outline& planned, const RenderOptions& options) {
  Outline outline = options.plate_outline.empty() ? planned : options.plate_outline;
  if (options.cut_mm == 0) return outline;
  const Rotation turn(options.cut_towards_rad);
  const Point way = turn * Point{1, 0};
  const double sense = SignedArea(outline) > 0 ? 1 : -1;
  const std::size_t n = outline.size();
  // Edges that face the way within 45 degrees belong to the side.
  std::vector<char> faces(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Point edge = outline[(i + 1) % n] - outline[i];
    faces[i] = sense * Dot({edge.y, -edge.x}, way) > std::numbers::sqrt2 / 2 * Norm(edge);
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (faces[i] || faces[(i + n - 1) % n]) outline[i] = outline[i] - options.cut_mm * way;
  }
  return outline;
}

}  // namespace truepull::render
