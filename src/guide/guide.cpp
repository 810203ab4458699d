// SPDX-License-Identifier: Apache-2.0
#include "truepull/guide.h"

#include <algorithm>

#include "guide/make_marks.h"
#include "guide/site_marks.h"
#include "guide/words.h"

namespace truepull {
namespace {

constexpr double kBracketArmMm = 15;
constexpr double kBracketOffMm = 1.2;   // Clear of the sheet's edge, so both show.
constexpr double kCentreInMm = 5;       // Long inside the sheet, ...
constexpr double kCentreOutMm = 2;      // ... short outside, where joins are checked.
// Below this the first impression's line and the target's are one line.
constexpr double kSameMm = 0.15;

std::vector<Mark> SheetMarks(double w, double h) {
  std::vector<Mark> out;
  out.push_back(Closed(MarkRole::kSheet, Rectangle({0, 0, w, h}), {Ink::kBlack, 0.25, Dash::kFull}));
  const double o = kBracketOffMm;
  for (const double sx : {0.0, 1.0}) {
    for (const double sy : {0.0, 1.0}) {
      const Point corner{sx * w + (2 * sx - 1) * o, sy * h + (2 * sy - 1) * o};
      const Point x{(1 - 2 * sx) * kBracketArmMm, 0}, y{0, (1 - 2 * sy) * kBracketArmMm};
      out.push_back(Line(MarkRole::kBracket, {corner + x, corner, corner + y},
                         {Ink::kBlack, 0.8, Dash::kFull}));
    }
  }
  const Stroke thin{Ink::kBlack, 0.25, Dash::kFull};
  const auto centre = [&](Point edge, Point outward) {
    out.push_back(Line(MarkRole::kCentre,
                       {edge + kCentreOutMm * outward, edge - kCentreInMm * outward}, thin));
  };
  centre({w / 2, 0}, {0, -1});
  centre({w / 2, h}, {0, 1});
  centre({0, h / 2}, {-1, 0});
  centre({w, h / 2}, {1, 0});
  return out;
}

double FurthestApart(const Outline& a, const Outline& b) {
  double most = 0;
  for (std::size_t i = 0; i < a.size(); ++i) most = std::max(most, Norm(a[i] - b[i]));
  return most;
}

}  // namespace

Guide BuildGuide(const Plan& plan, const std::vector<Placement>& placements,
                 const GuideRequest& request) {
  Guide guide;
  guide.width_mm = request.state.width_mm;
  guide.height_mm = request.state.height_mm;
  guide.mirrored = request.mirror;
  guide.words = WordsFor(plan, placements, request);
  const GuideFrame frame{guide.width_mm, guide.mirrored};

  std::vector<SiteShape> shapes;
  for (std::size_t i = 0; i < placements.size(); ++i) {
    SiteShape s;
    s.placement = placements[i];
    s.outline_in_tile = PlateOutlineAt(plan, request.pass, s.placement.site);
    s.outline = frame(s.placement.place, s.outline_in_tile);
    s.edges = CoarseEdges(s.outline, 0.1);
    s.box = BoundingBox(s.outline);
    if (i < request.first_impressions.size() && request.first_impressions[i]) {
      const Outline first = OutlineAt(plan, s.placement.site);
      const Outline found = frame(*request.first_impressions[i], first);
      const bool same_shape = first == s.outline_in_tile;
      if (!same_shape || FurthestApart(found, s.outline) > kSameMm) s.found = found;
    }
    shapes.push_back(std::move(s));
  }
  guide.ticks = ChooseTicks(shapes, frame);

  guide.marks = SheetMarks(guide.width_mm, guide.height_mm);
  for (const SiteShape& shape : shapes) {
    std::vector<Segment> lines;  // All that the label must keep clear of, near this site.
    const auto add = [&](const Segment& s) {
      if (std::max(s.a.x, s.b.x) < shape.box.left || std::min(s.a.x, s.b.x) > shape.box.right ||
          std::max(s.a.y, s.b.y) < shape.box.top || std::min(s.a.y, s.b.y) > shape.box.bottom) {
        return;
      }
      lines.push_back(s);
    };
    for (const SiteShape& other : shapes) {
      if (&other == &shape) continue;
      if (other.box.right < shape.box.left || other.box.left > shape.box.right ||
          other.box.bottom < shape.box.top || other.box.top > shape.box.bottom) {
        continue;
      }
      for (const Segment& s : other.edges) add(s);
    }
    for (const SiteTick& t : guide.ticks) add({t.from, t.to});
    for (Mark& m : SiteMarks(shape, guide.ticks, lines)) guide.marks.push_back(std::move(m));
  }
  return guide;
}

}  // namespace truepull
