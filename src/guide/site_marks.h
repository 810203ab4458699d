// SPDX-License-Identifier: Apache-2.0
// What is drawn for one site: outline, ticks, label, sign.
#ifndef TRUEPULL_SRC_GUIDE_SITE_MARKS_H_
#define TRUEPULL_SRC_GUIDE_SITE_MARKS_H_

#include <optional>
#include <span>
#include <vector>

#include "guide/clearance.h"
#include "guide/make_marks.h"
#include "guide/moves.h"
#include "truepull/guide.h"

namespace truepull {

/// From the tile frame to the guide, mirrored where the guide is.
struct GuideFrame {
  double width_mm = 0;
  bool mirrored = false;
  Point operator()(Point on_sheet) const {
    return mirrored ? Point{width_mm - on_sheet.x, on_sheet.y} : on_sheet;
  }
  Outline operator()(const Pose& pose, std::span<const Point> outline_in_tile) const;
};

inline constexpr double kStopDotMm = 0.7, kStopRingMm = 1.4;  // Radii.

/// A site with its outline where the plate goes.
struct SiteShape {
  Placement placement;
  Outline outline_in_tile;
  Outline outline;                 // On the guide.
  std::vector<Segment> edges;      // The line drawn, coarser: for keeping clear.
  Box box;
  std::optional<Outline> found;    // First impression, where it lies elsewhere.
  bool lies_on_first = false;      // There is a first impression of this shape, and the plate goes onto it.
  Outline drawn;                   // Middle of the line drawn: where its aim edge is the outline.
  MarkRole role = MarkRole::kOutline;
  std::vector<Point> stops;        // Where the L of card is set: its corner, then along its arm.
  Outline body;                    // The block's rectangle; empty: not drawn.
  int number = 0;                  // Of the pull; 0: none.
  std::optional<RoundedMove> move;       // From the first impression, as seen on the guide.
  std::optional<RoundedMove> from_plan;  // From the ideal place.
  // Decided by SettleCrowding.
  bool crowded = false;
  std::vector<std::vector<Point>> pieces;
  std::vector<Segment> tick_lines; // What is drawn of its ticks.
};

/// Two ticks for every site that is not left alone, in the order of shapes.
std::vector<SiteTick> ChooseTicks(std::span<const SiteShape> shapes, const GuideFrame& frame);

/// Where a block of `width` x `height` mm stands inside a shape: its middle. The place
/// nearest to the middle of the shape that keeps `clear_mm` from every line, or else the
/// clearest one; `clearance` tells which it was.
struct LabelPlace {
  Point middle;
  double clearance_mm = 0;
};
LabelPlace PlaceLabel(const SiteShape& shape, std::span<const Segment> lines, double width_mm,
                      double height_mm, double clear_mm);

/// The marks of one site, grouped as "site-R-C". `lines` are the other sites' lines and
/// all ticks near this one.
std::vector<Mark> SiteMarks(const SiteShape& shape, const UseLook& use, std::span<const Segment> lines);

/// Where the L of card is set for a rectangle that lies on the guide: the corner nearest to
/// the printer's hand (lower right, or lower left), and a point 80 % along its longer side.
std::vector<Point> StopPoints(std::span<const Point> body, bool at_left);

/// The line that an action's outline has, and its sign (about a middle, 4 mm high).
struct ActionLook {
  Ink ink;
  Dash dash;
  const char* word;
};
ActionLook LookOf(Action action);
/// The target's line in a use: on a light table a plain pull is black.
Stroke TargetStroke(Action action, const UseLook& use);
std::vector<Mark> SignOf(Action action, Point middle);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_SITE_MARKS_H_
