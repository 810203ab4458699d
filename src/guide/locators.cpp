// SPDX-License-Identifier: Apache-2.0
// What exists on this sheet that a page can be placed by.
#include <cmath>

#include "guide/sheet_marks.h"
#include "truepull/units.h"

namespace truepull {
namespace {

// "lower right" of a direction away from a tile's middle, as seen on the guide.
std::string WhereWords(Point away) {
  const double turn = DegFromRad(std::atan2(away.y, away.x));  // Clockwise from the right.
  constexpr const char* kNames[] = {"right", "lower right", "lower", "lower left", "left", "upper left", "upper", "upper right"};
  const int eighth = (static_cast<int>(std::lround(turn / 45)) + 8) % 8;
  return kNames[eighth];
}

}  // namespace

void AddLocators(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request,
                 std::span<const SiteShape> shapes, const GuideFrame& frame, Guide& guide) {
  if (!UseLookOf(request.use).laid_on_sheet) return;
  if (request.margin_marks_there) {
    constexpr const char* kCorner[] = {"upper left", "upper right", "lower right", "lower left"};
    constexpr const char* kBehind[] = {"upper right", "upper left", "lower left", "lower right"};
    const auto places = MarksAtThePull(plan, request);
    for (std::size_t i = 0; i < 4; ++i) {
      guide.locators.push_back({frame(places[i]), std::string("the printed cross in the sheet's ") +
                                                      (guide.mirrored ? kBehind : kCorner)[i] + " corner"});
    }
  }
  for (std::size_t i = 0; i < placements.size() && i < request.first_impressions.size(); ++i) {
    // A weak impression's corner is hard to see.
    if (!request.first_impressions[i] || placements[i].action == Action::kStrengthen) continue;
    const Site site = placements[i].site;
    const Outline outline = OutlineAt(plan, site);
    const Pose& pose = *request.first_impressions[i];
    const Point middle = frame(Apply(pose, Centroid(outline)));
    const auto pairs = TickPoints(outline);
    if (pairs.empty()) continue;
    for (const Point p : pairs[0]) {
      const Point at = frame(Apply(pose, p));
      guide.locators.push_back({at, "the " + WhereWords(at - middle) + " corner of impression " + SiteLabel(site)});
    }
  }
  if (request.use != GuideUse::kMask) return;
  for (const SiteShape& s : shapes) {
    if (s.lies_on_first && s.placement.action == Action::kPull) {
      guide.in_openings.push_back({Centroid(s.outline), SiteLabel(s.placement.site)});
    }
  }
}

}  // namespace truepull
