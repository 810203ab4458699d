// SPDX-License-Identifier: Apache-2.0
#include "truepull/guide.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "guide/crowding.h"
#include "guide/make_marks.h"
#include "guide/offset.h"
#include "guide/sheet_marks.h"
#include "guide/site_marks.h"
#include "guide/tick_names.h"
#include "guide/words.h"

namespace truepull {
namespace {

// Below this the first impression's line and the target's are one line.
constexpr double kSameMm = 0.15;

double FurthestApart(const Outline& a, const Outline& b) {
  double most = 0;
  for (std::size_t i = 0; i < a.size(); ++i) most = std::max(most, Norm(a[i] - b[i]));
  return most;
}

bool SameLine(const Outline& a, const Outline& b) {
  const auto off = [](const Outline& points, const Outline& line) {
    return std::any_of(points.begin(), points.end(), [&](Point p) { return std::abs(SignedDistance(line, p)) > kSameMm; });
  };
  return !off(a, b) && !off(b, a);
}

std::vector<SiteShape> ShapesFor(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request,
                                 const GuideFrame& frame) {
  const UseLook& use = UseLookOf(request.use);
  // Which edge of the line is the aim: the line's middle lies so much further out.
  const double out_mm = use.aim == LineAim::kInnerEdge ? use.line_mm / 2 : 0;
  std::vector<SiteShape> shapes;
  for (std::size_t i = 0; i < placements.size(); ++i) {
    SiteShape s;
    s.placement = placements[i];
    const Site site = s.placement.site;
    if (request.use == GuideUse::kMask && s.placement.action == Action::kLeave) continue;
    s.outline_in_tile = PlateOutlineAt(plan, request.pass, site);
    s.outline = frame(s.placement.place, s.outline_in_tile);
    s.drawn = s.outline;
    if (request.use == GuideUse::kMask) {
      s.role = MarkRole::kOpening;
      s.drawn = Widened(s.outline, request.mask_clearance_mm);
    } else if (out_mm > 0) {
      s.drawn = Widened(s.outline, out_mm);
    }
    s.edges = CoarseEdges(s.drawn, 0.1);
    s.box = BoundingBox(s.drawn);
    s.number = i < request.pull_numbers.size() ? request.pull_numbers[i] : s.placement.order;
    if (!request.first_pass) {
      s.from_plan = Rounded(s.placement.from_ideal, s.placement.from_ideal_turn_rad, frame.mirrored);
    }
    if (i < request.first_impressions.size() && request.first_impressions[i]) {
      const Pose& impression = *request.first_impressions[i];
      const Outline first = OutlineAt(plan, site);
      const Outline found = frame(impression, first);
      // The move of the tile's middle, which is what the eye follows.
      const Point middle = Centroid(first);
      s.move = Rounded(Apply(s.placement.place, middle) - Apply(impression, middle),
                       WrapTurn(s.placement.place.turn_rad - impression.turn_rad), frame.mirrored);
      const bool same_shape = first == s.outline_in_tile;
      s.lies_on_first = same_shape && FurthestApart(found, s.outline) <= kSameMm;
      if (use.shows_found && (!same_shape || FurthestApart(found, s.outline) > kSameMm)) s.found = found;
    }
    if (use.shows_stops && s.placement.action != Action::kLeave) {
      Box box = BoundingBox(s.outline_in_tile);
      if (const auto& block = PlateAt(plan, site).body) {
        box = MemberAt(plan.lattice, site).mirrored ? Box{-block->right, block->top, -block->left, block->bottom} : *block;
      }
      const Outline body = frame(s.placement.place, Rectangle(box));
      s.stops = StopPoints(body, request.left_handed != frame.mirrored);
      // A block no larger than what it prints needs no second line round it.
      if (request.use == GuideUse::kStops && !SameLine(body, s.outline)) s.body = body;
    }
    shapes.push_back(std::move(s));
  }
  return shapes;
}

// On the smallest tiles a label of 5 mm reaches the outline: the pieces give way to it.
void ClearLabels(std::vector<Mark>& marks) {
  constexpr double kClearMm = 0.8, kLeastMm = 1.5;
  std::vector<Box> labels;
  for (const Mark& m : marks) {
    if (m.role != MarkRole::kLabel) continue;
    const Box b = TextBox(std::get<TextMark>(m.what));
    labels.push_back({b.left - kClearMm, b.top - kClearMm, b.right + kClearMm, b.bottom + kClearMm});
  }
  std::vector<Mark> out;
  for (Mark& m : marks) {
    if (m.role != MarkRole::kCorner) {
      out.push_back(std::move(m));
      continue;
    }
    const PathMark path = std::get<PathMark>(m.what);
    const Box box = BoundingBox(path.points);
    std::vector<Box> near;
    for (const Box& l : labels) {
      if (l.left < box.right && l.right > box.left && l.top < box.bottom && l.bottom > box.top) near.push_back(l);
    }
    std::vector<Point> run;
    const auto finish = [&] {
      double length = 0;
      for (std::size_t i = 0; i + 1 < run.size(); ++i) length += Norm(run[i + 1] - run[i]);
      if (length >= kLeastMm) {
        PathMark part = path;
        part.points = run;
        out.push_back({m.role, m.group, std::move(part)});
      }
      run.clear();
    };
    if (near.empty()) {
      out.push_back(std::move(m));
      continue;
    }
    std::vector<Point> fine;  // A straight piece has only its ends.
    for (std::size_t i = 0; i + 1 < path.points.size(); ++i) {
      const Point a = path.points[i], b = path.points[i + 1];
      const int steps = std::max(1, static_cast<int>(Norm(b - a) / 0.25));
      for (int k = 0; k < steps; ++k) fine.push_back(a + (static_cast<double>(k) / steps) * (b - a));
    }
    fine.push_back(path.points.back());
    for (const Point p : fine) {
      const bool covered = std::any_of(near.begin(), near.end(), [&](const Box& l) {
        return p.x > l.left && p.x < l.right && p.y > l.top && p.y < l.bottom;
      });
      if (covered) finish();
      else run.push_back(p);
    }
    finish();
  }
  marks = std::move(out);
}

Guide Compose(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request,
              const GuideWords& words, std::vector<SiteShape> shapes) {
  const UseLook& use = UseLookOf(request.use);
  Guide guide;
  guide.use = request.use;
  guide.width_mm = request.state.width_mm;
  guide.height_mm = request.state.height_mm;
  guide.mirrored = request.use == GuideUse::kGeneral ? request.mirror : use.mirrored;
  guide.words = words;
  const GuideFrame frame{guide.width_mm, guide.mirrored};
  if (request.use != GuideUse::kMask) {
    guide.ticks = ChooseTicks(shapes, frame);
    SettleCrowding(shapes, guide.ticks, use.line_mm);
  }
  guide.marks = SheetMarks(guide.width_mm, guide.height_mm);
  AddGrainAndKento(plan, guide, guide.marks);
  if (request.margin_marks) {
    for (Mark& m : MarginCrosses(frame, MarksAtThePull(plan, request))) guide.marks.push_back(std::move(m));
  }
  AddLocators(plan, placements, request, shapes, frame, guide);
  Outline plate = PlateOutlineAt(plan, request.pass, placements.front().site);
  if (guide.mirrored) {
    for (Point& p : plate) p.x = -p.x;
  }
  guide.plate = std::move(plate);

  // All lines that are drawn, for labels to keep clear of; the first of each shape.
  struct Owned {
    Segment line;
    std::size_t owner;
  };
  std::vector<Owned> drawn;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    for (const Segment& s : shapes[i].edges) drawn.push_back({s, i});
    for (const Segment& s : shapes[i].tick_lines) drawn.push_back({s, shapes.size()});
    for (const Point p : shapes[i].stops) {
      for (int k = 0; k < 8; ++k) {
        const auto at = [&](int j) { return p + Rotation(j * std::numbers::pi / 4) * Point{kStopRingMm, 0}; };
        drawn.push_back({{at(k), at(k + 1)}, shapes.size()});
      }
    }
  }
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    const SiteShape& shape = shapes[i];
    guide.crowded = guide.crowded || shape.crowded;
    std::vector<Segment> lines;
    for (const Owned& o : drawn) {
      const Segment& s = o.line;
      if (o.owner == i || std::max(s.a.x, s.b.x) < shape.box.left || std::min(s.a.x, s.b.x) > shape.box.right ||
          std::max(s.a.y, s.b.y) < shape.box.top || std::min(s.a.y, s.b.y) > shape.box.bottom) {
        continue;
      }
      lines.push_back(s);
    }
    Box box = shape.box;
    const auto reach = [&](Point p) {
      box = {std::min(box.left, p.x), std::min(box.top, p.y), std::max(box.right, p.x), std::max(box.bottom, p.y)};
    };
    for (const Segment& t : shape.tick_lines) reach(t.a), reach(t.b);
    for (const Point p : shape.stops) reach(p - Point{2, 2}), reach(p + Point{2, 2});
    for (const Point p : shape.body) reach(p);
    guide.site_boxes.push_back({box.left - 1, box.top - 1, box.right + 1, box.bottom + 1});
    guide.sites.push_back(shape.placement.site);
    for (Mark& m : SiteMarks(shape, use, lines)) guide.marks.push_back(std::move(m));
  }
  if (guide.crowded) ClearLabels(guide.marks);
  NameTicks(shapes, guide);
  return guide;
}

}  // namespace

Guide BuildGuide(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request) {
  const bool mirrored = request.use == GuideUse::kGeneral ? request.mirror : UseLookOf(request.use).mirrored;
  const GuideFrame frame{request.state.width_mm, mirrored};
  return Compose(plan, placements, request, WordsFor(plan, placements, request),
                 ShapesFor(plan, placements, request, frame));
}

std::vector<Guide> BuildGuideParts(const Plan& plan, const std::vector<Placement>& placements,
                                   const GuideRequest& request) {
  const bool mask = request.use == GuideUse::kMask;
  if (!mask && request.touching == Touching::kCorners) return {BuildGuide(plan, placements, request)};
  const bool mirrored = request.use == GuideUse::kGeneral ? request.mirror : UseLookOf(request.use).mirrored;
  const GuideFrame frame{request.state.width_mm, mirrored};
  const std::vector<SiteShape> shapes = ShapesFor(plan, placements, request, frame);
  // Ticks reach 6.5 mm outside, and lines keep apart: both are under a bridge's width.
  const auto part = PartsWithoutPairs(static_cast<int>(shapes.size()), PairsNearerThan(shapes, kBridgeMm));
  const int parts = part.empty() ? 1 : 1 + *std::max_element(part.begin(), part.end());
  const GuideWords words = WordsFor(plan, placements, request);
  std::vector<Guide> out;
  for (int k = 0; k < parts; ++k) {
    std::vector<SiteShape> some;
    for (std::size_t i = 0; i < shapes.size(); ++i) {
      if (part[i] == k) some.push_back(shapes[i]);
    }
    out.push_back(Compose(plan, placements, request, words, std::move(some)));
    if (parts > 1) out.back().set_label = fmt::format("{} {} of {}", mask ? "mask" : "part", k + 1, parts);
  }
  return out;
}

}  // namespace truepull
