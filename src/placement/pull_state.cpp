// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "truepull/placement.h"

namespace truepull {
namespace {

// Why the sheet's size at the pull is not known; empty when it is.
std::string WhyNotKnown(const Plan& plan, SheetState photographed, SheetState pulled) {
  if (photographed == SheetState::kUnknown && pulled == SheetState::kUnknown) {
    return "It was not said whether the sheet was dry or damp in the photo, nor what it "
           "will be at the pull.";
  }
  if (photographed == SheetState::kUnknown) {
    return "It was not said whether the sheet was dry or damp in the photo.";
  }
  if (pulled == SheetState::kUnknown) {
    return "It was not said whether the sheet will be dry or damp at the pull.";
  }
  if (photographed == pulled) return "";
  if (!plan.sheet.stretch_along_percent || !plan.sheet.stretch_across_percent) {
    return "The plan does not say how much this paper grows when damped.";
  }
  if (plan.sheet.grain == Grain::kUnknown) {
    return "The plan does not say which way the grain runs.";
  }
  return "";
}

Point Grown(Point p, const PullState& state) {
  return {p.x * (1 + state.stretch_x), p.y * (1 + state.stretch_y)};
}

}  // namespace

PullState StateAtPull(const Plan& plan, SheetState photographed, SheetState pulled) {
  PullState out;
  out.photographed = photographed;
  out.pulled = pulled;
  out.why_not_known = WhyNotKnown(plan, photographed, pulled);
  out.known = out.why_not_known.empty();
  if (out.known && photographed != pulled) {
    const double along = *plan.sheet.stretch_along_percent / 100;
    const double across = *plan.sheet.stretch_across_percent / 100;
    out.stretch_x = plan.sheet.grain == Grain::kX ? along : across;
    out.stretch_y = plan.sheet.grain == Grain::kX ? across : along;
    if (pulled == SheetState::kDry) {  // Back the way it came.
      out.stretch_x = 1 / (1 + out.stretch_x) - 1;
      out.stretch_y = 1 / (1 + out.stretch_y) - 1;
    }
  }
  out.width_mm = plan.sheet.width_mm * (1 + out.stretch_x);
  out.height_mm = plan.sheet.height_mm * (1 + out.stretch_y);
  return out;
}

Result<PullState> StateFromTicks(const Plan& plan, SheetState photographed, SheetState pulled, const TickMeasure& ticks) {
  constexpr double kMost = 0.05;
  const auto bad = [](const std::string& what, const std::string& hint) {
    return Error{ErrorCode::kBadArgument, "--ticks: " + what, hint};
  };
  const bool by_grain = ticks.along_grain || ticks.across_grain;
  if (by_grain && (ticks.x || ticks.y)) return bad("either along and across, or x and y", "for example --ticks across=202.6,along=200.3");
  if (by_grain ? !(ticks.along_grain && ticks.across_grain) : !(ticks.x && ticks.y)) {
    return bad("both ways are needed", "measure two ticks along the grain and two across it: --ticks across=202.6,along=200.3");
  }
  if (by_grain && plan.sheet.grain == Grain::kUnknown) {
    return bad("the plan does not say which way the grain runs", "give them as x and y (right and down), or write sheet.grain in the plan");
  }
  for (const auto& [name, value] : {std::pair("along", ticks.along_grain), std::pair("across", ticks.across_grain), std::pair("x", ticks.x), std::pair("y", ticks.y)}) {
    if (!value) continue;
    const double growth = *value / ticks.before_mm - 1;
    if (std::abs(growth) > kMost) {
      return bad(fmt::format("{}={:g}: {:g} mm where {:g} mm were would be {:.0f} % of stretch; paper does not grow by more than 5 %", name, *value, *value, ticks.before_mm, 100 * growth),
                 "measure again between the same two ticks, or say with --ticks-before how far apart they were at the photo");
    }
  }
  PullState out;
  out.photographed = photographed;
  out.pulled = pulled;
  out.known = out.measured = true;
  const bool along_x = plan.sheet.grain == Grain::kX;
  out.stretch_x = (by_grain ? (along_x ? *ticks.along_grain : *ticks.across_grain) : *ticks.x) / ticks.before_mm - 1;
  out.stretch_y = (by_grain ? (along_x ? *ticks.across_grain : *ticks.along_grain) : *ticks.y) / ticks.before_mm - 1;
  out.width_mm = plan.sheet.width_mm * (1 + out.stretch_x);
  out.height_mm = plan.sheet.height_mm * (1 + out.stretch_y);
  return out;
}

Outline PlateOutlineAt(const Plan& plan, const Pass* pass, Site site) {
  if (pass == nullptr || pass->outline.empty()) return OutlineAt(plan, site);
  Outline outline = pass->outline;
  if (MemberAt(plan.lattice, site).mirrored) {
    for (Point& p : outline) p.x = -p.x;
    std::reverse(outline.begin(), outline.end());
  }
  return outline;
}

Pose PoseAtThePull(std::span<const Point> outline, const Pose& pose, const PullState& state) {
  if (state.stretch_x == 0 && state.stretch_y == 0) return pose;  // To the last digit.
  // The turn stays: of a turned shape that grows unevenly the best rigid fit keeps its
  // turn (the orthogonal factor of S R is R for a symmetric S).
  const Point middle_in_tile = Centroid(outline);
  const Point middle = Grown(Apply(pose, middle_in_tile), state);
  return {middle - Rotation(pose.turn_rad) * middle_in_tile, pose.turn_rad};
}

std::vector<Placement> AtThePull(const Plan& plan,
                                 std::vector<Placement> placements,
                                 const PullState& state) {
  for (Placement& p : placements) {
    // The first impression's outline, not the pass's: that is what has grown.
    const Outline outline = OutlineAt(plan, p.site);
    const Pose ideal = PoseAtThePull(outline, IdealPose(plan.lattice, p.site), state);
    p.place = PoseAtThePull(outline, p.place, state);
    p.from_ideal = p.place.at - ideal.at;
    p.from_ideal_turn_rad = WrapTurn(p.place.turn_rad - ideal.turn_rad);
  }
  return placements;
}

}  // namespace truepull
