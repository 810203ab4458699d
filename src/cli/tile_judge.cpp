// SPDX-License-Identifier: Apache-2.0
#include "cli/tile_judge.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "truepull/cell_fit.h"
#include "truepull/closing.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr const char* kMirroredPlate = "some tiles are its mirror image: a second, mirrored plate is needed";

// The middle of a stretch of the outline, in words.
std::string StretchInWords(const Outline& outline, double from, double to) {
  const double round = Perimeter(outline);
  if (to < from) to += round;
  return fmt::format("{}, {:.0f} mm long: meets ", PlaceOnOutline(outline, PointAlong(outline, std::fmod(0.5 * (from + to), round))), to - from);
}

std::string InWords(const Outline& outline, const Meeting& m) {
  const std::string stretch = StretchInWords(outline, m.from_mm, m.to_mm);
  if (m.move == EdgeMove::kHalfTurn) return stretch + "itself, turned half round about its middle";
  const std::string partner = PlaceOnOutline(outline, PointAlong(outline, std::fmod(0.5 * (m.partner_from_mm + m.partner_to_mm + (m.partner_to_mm < m.partner_from_mm ? Perimeter(outline) : 0)),
                                                                                    Perimeter(outline))));
  return fmt::format("{}{}, shifted by ({:.1f}, {:.1f}) mm", stretch, partner, m.shift.x + 0.0, m.shift.y + 0.0);
}

// The same of a tile that was built: its sides, counted from 1, as they were given.
std::string InWords(const DrawnSide& side) {
  const int own = side.side + 1, partner = side.partner + 1;
  switch (side.move) {
    case EdgeMove::kShift: return fmt::format("side {} meets side {}, shifted", own, partner);
    case EdgeMove::kHalfTurn: return fmt::format("side {} meets itself, turned half round about its middle", own);
    case EdgeMove::kTurn: return fmt::format("side {} meets side {}, turned about the corner that they share", own, partner);
    case EdgeMove::kGlide: break;
  }
  return fmt::format("side {} meets side {}, mirrored and slid", own, partner);
}

void Adopt(const Repeat& repeat, JudgedTile& tile) {
  TileReport& report = tile.report;
  report.repeats = true;
  report.meetings = repeat.meetings;
  for (const Meeting& m : repeat.meetings) tile.edges.push_back(InWords(report.outline, m));
  report.steps = repeat.steps;
  report.cell.clear();
  for (const Pose& pose : repeat.cell) report.cell.push_back({0, pose.at, pose.turn_rad, false});
}

// How a tile that does not repeat exactly can be closed, or what keeps it from repeating.
Status CloseOrName(double tolerance_mm, JudgedTile& tile) {
  ClosingOptions options;
  options.tolerance_mm = tolerance_mm;
  TileReport& report = tile.report;
  const auto closing = CloseOutline(report.outline, options);
  if (!closing) return closing.error();
  if (closing->misfits.empty()) return Done{};
  const Misfit& worst = closing->misfits[0];
  tile.worst_mm = std::abs(worst.mm);
  tile.worst = Describe(report.outline, worst);
  if (report.traced) {
    report.traced->closed = closing->near;
    report.traced->rms_mm = closing->rms_mm;
    for (const Misfit& m : closing->misfits) report.traced->off.push_back({Describe(report.outline, m), m.mm});
  }
  const std::string& words = tile.worst;
  const char* how = closing->by_half_turns ? "shifts and half turns" : "shifts";
  if (!closing->near) {
    report.findings.push_back(fmt::format("it repeats neither by shifts nor by shifts and half turns; the nearest way is by {}, and there the worst place is: {}", how, words));
    tile.nearest_steps = closing->steps;
    for (const Pose& pose : closing->cell) tile.nearest_cell.push_back({0, pose.at, pose.turn_rad, false});
    for (const Misfit& m : closing->misfits) {
      if (std::abs(m.mm) > tolerance_mm) tile.faults.push_back(m.at);
    }
    return Done{};
  }
  report.outline = closing->closed;
  if (!report.traced && std::abs(worst.mm) > 0.02) {  // Less is the rounding of what was typed.
    report.findings.push_back(fmt::format("the outline was closed so that it repeats by {}: it was off by {:.2f} mm on the whole (RMS), most at the {}", how,
                                          closing->rms_mm, words));
  }
  const auto verdict = JudgeOutline(report.outline);
  if (!verdict) return verdict.error();
  report.shifts = verdict->shifts.has_value();
  report.half_turns = verdict->half_turns.has_value();
  if (verdict->shifts) Adopt(*verdict->shifts, tile);
  else if (verdict->half_turns) Adopt(*verdict->half_turns, tile);
  return Done{};
}

}  // namespace

Result<JudgedTile> JudgeTile(const TileInput& input, double tolerance_mm, const TracedFrom* from) {
  JudgedTile tile;
  TileReport& report = tile.report;
  if (from) report.traced = *from;
  tile.drawing.lines = input.drawing;
  report.title = input.title;
  report.outline = input.outline;
  std::optional<BuiltTile> built;
  if (input.base) {
    auto result = BuildTile(*input.base);
    if (!result) return result.error();
    built = *result;
    report.outline = built->outline;
  }
  auto verdict = JudgeOutline(report.outline);
  if (!verdict) return verdict.error();
  report.shifts = verdict->shifts.has_value();
  report.half_turns = verdict->half_turns.has_value();
  if (built) {
    report.repeats = true;
    report.steps = built->steps;
    report.cell = built->cell;
    for (const DrawnSide& side : input.base->sides) tile.edges.push_back(InWords(side));
    if (built->needs_mirrored_plate) {
      report.findings.push_back(kMirroredPlate);
    }
  } else if (from) {
    // No outline cut by hand repeats exactly: how far it is off is what is wanted.
    if (const Status ok = CloseOrName(tolerance_mm, tile); !ok) return ok.error();
  } else if (verdict->shifts) {
    Adopt(*verdict->shifts, tile);
  } else if (verdict->half_turns) {
    Adopt(*verdict->half_turns, tile);
  } else if (const auto proved = RepeatOf(report.outline, input.claimed); proved) {
    // A tile built before from quarter turns and the like: the file says how, and it fits.
    report.repeats = true;
    report.steps = proved->steps;
    report.cell = proved->cell;
    if (proved->needs_mirrored_plate) report.findings.push_back(kMirroredPlate);
  } else if (const Status ok = CloseOrName(tolerance_mm, tile); !ok) {
    return ok.error();
  }
  tile.weak_places = FindWeakPlaces(report.outline);
  for (const WeakPlace& w : tile.weak_places) {
    const std::string place = PlaceOnOutline(report.outline, w.at);
    report.findings.push_back(
        w.kind == WeakPlace::Kind::kNeck
            ? fmt::format("{}: a neck of {:.1f} mm, thinner than the 4 mm that scissors and plastic stand", place, w.width_mm)
            : fmt::format("{}: a point of {:.0f} degrees, sharper than 25; it will bend or break", place, DegFromRad(w.angle_rad)));
  }
  if (verdict->own_turns > 1) {
    tile.notes.push_back(fmt::format("the tile looks alike in {} turns: a plate or photo that lies turned by {:.0f} degrees cannot be told by the outline",
                                     verdict->own_turns, 360.0 / verdict->own_turns));
  }
  if (verdict->own_mirror) {
    tile.notes.push_back("the tile is its own mirror image: face and back of the plate cannot be told by the outline");
  }
  return tile;
}

TemplateRequest TemplateOf(const JudgedTile& tile, const std::string& title) {
  TemplateRequest request;
  request.title = title;
  request.outline = tile.report.outline;
  request.weak_places = tile.weak_places;
  request.faults = tile.faults;
  request.drawing = tile.drawing;
  request.repeats = tile.report.repeats;
  if (tile.report.repeats) {
    request.steps = tile.report.steps;
    request.cell = tile.report.cell;
  } else if (!tile.nearest_cell.empty()) {
    request.nearest = true;
    request.steps = tile.nearest_steps;
    request.cell = tile.nearest_cell;
  }
  return request;
}

std::string TurnsInWords(const std::vector<CellMember>& cell) {
  std::vector<std::string> turns;
  for (const CellMember& m : cell) {
    std::string word = fmt::format("{:.0f}{}", DegFromRad(m.turn_rad), m.mirrored ? " mirrored" : "");
    if (word == "-0") word = "0";
    if (std::find(turns.begin(), turns.end(), word) == turns.end()) turns.push_back(word);
  }
  return fmt::format("{}", fmt::join(turns, ", "));
}

}  // namespace truepull
