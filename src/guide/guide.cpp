// SPDX-License-Identifier: Apache-2.0
#include "truepull/guide.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "guide/crowding.h"
#include "guide/make_marks.h"
#include "guide/offset.h"
#include "guide/site_marks.h"
#include "guide/words.h"
#include "truepull/marker_cards.h"

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

// The grain's arrow in the border, and where the kento's notches take the sheet. The sheet
// goes face down into a block's kento, its corner at the printer's right hand: the print's
// lower left, and the side notch on the same long edge (reference 24).
void AddGrainAndKento(const Plan& plan, const Guide& guide, std::vector<Mark>& out) {
  const double w = guide.width_mm, h = guide.height_mm;
  const Stroke stroke{Ink::kGrey, 0.4, Dash::kFull};
  const auto words = [&](MarkRole role, std::string text, Point at, Anchor anchor, int turns = 0) {
    Mark m = Words(std::move(text), at, 2.2, anchor);
    m.role = role;
    std::get<TextMark>(m.what).quarter_turns = turns;
    out.push_back(m);
  };
  if (plan.sheet.grain != Grain::kUnknown) {
    const bool along_x = plan.sheet.grain == Grain::kX;
    constexpr double kOff = 4.6, kFrom = 20, kTo = 44;
    const auto at = [&](double along, double across) {
      return along_x ? Point{along, -kOff + across} : Point{-kOff + across, along};
    };
    out.push_back(Line(MarkRole::kGrain, {at(kFrom, 0), at(kTo, 0)}, stroke));
    for (const double end : {kFrom, kTo}) {
      const double back = end == kFrom ? 2 : -2;
      out.push_back(Line(MarkRole::kGrain, {at(end + back, -1), at(end, 0), at(end + back, 1)}, stroke));
    }
    if (along_x) words(MarkRole::kGrain, "grain", {kTo + 1.5, -kOff + 1.1}, Anchor::kStart);
    else words(MarkRole::kGrain, "grain", {-kOff - 1.1, kTo + 1.5}, Anchor::kStart, 1);
  }
  const double corner = guide.mirrored ? w : 0, inwards = guide.mirrored ? -1 : 1;
  const Anchor anchor = guide.mirrored ? Anchor::kEnd : Anchor::kStart;
  words(MarkRole::kKento, "kento corner", {corner + inwards * 17, h + 4.2}, anchor);
  const double side = corner + inwards * 0.7 * w;
  out.push_back(Line(MarkRole::kKento, {{side - 8, h + 1.2}, {side + 8, h + 1.2}}, {Ink::kBlack, 0.8, Dash::kFull}));
  words(MarkRole::kKento, "kento side", {side, h + 5.2}, Anchor::kMiddle);
}

// Where the margin's crosses are at the pull: the sheet has grown since they were made.
std::array<Point, 4> MarksAtThePull(const Plan& plan, const GuideRequest& request) {
  auto places = MarginMarks(plan.sheet.width_mm, plan.sheet.height_mm);
  for (Point& p : places) {
    p = {p.x * request.state.width_mm / plan.sheet.width_mm, p.y * request.state.height_mm / plan.sheet.height_mm};
  }
  return places;
}

std::vector<Mark> MarginCrosses(const GuideFrame& frame, const std::array<Point, 4>& places) {
  std::vector<Mark> out;
  const Stroke stroke{Ink::kBlack, 0.3, Dash::kFull};
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Point p = frame(places[i]);
    out.push_back(Line(MarkRole::kMargin, {p - Point{kMarginMarkArmMm, 0}, p + Point{kMarginMarkArmMm, 0}}, stroke));
    out.push_back(Line(MarkRole::kMargin, {p - Point{0, kMarginMarkArmMm}, p + Point{0, kMarginMarkArmMm}}, stroke));
    if (i == 0) out.push_back(Closed(MarkRole::kMargin, Circle(p, kMarginMarkRingMm), stroke));
  }
  return out;
}

// "lower right" of a direction away from a tile's middle, as seen on the guide.
std::string WhereWords(Point away) {
  const double turn = DegFromRad(std::atan2(away.y, away.x));  // Clockwise from the right.
  constexpr const char* kNames[] = {"right", "lower right", "lower", "lower left", "left", "upper left", "upper", "upper right"};
  const int eighth = (static_cast<int>(std::lround(turn / 45)) + 8) % 8;
  return kNames[eighth];
}

void AddLocators(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request,
                 const GuideFrame& frame, Guide& guide) {
  if (guide.mirrored) return;  // The impressions are not seen from the back.
  if (request.margin_marks_there) {
    constexpr const char* kCorner[] = {"upper left", "upper right", "lower right", "lower left"};
    const auto places = MarksAtThePull(plan, request);
    for (std::size_t i = 0; i < 4; ++i) {
      guide.locators.push_back({frame(places[i]), std::string("the printed cross in the sheet's ") + kCorner[i] + " corner"});
    }
  }
  for (std::size_t i = 0; i < placements.size() && i < request.first_impressions.size(); ++i) {
    if (!request.first_impressions[i]) continue;
    const Site site = placements[i].site;
    const Outline outline = OutlineAt(plan, site);
    const Pose& pose = *request.first_impressions[i];
    const Point middle = Apply(pose, Centroid(outline));
    for (const auto& pair : TickPoints(outline)) {
      for (const Point p : pair) {
        const Point at = Apply(pose, p);
        guide.locators.push_back({frame(at), "the " + WhereWords(at - middle) + " corner of impression " + SiteLabel(site)});
      }
      break;
    }
  }
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
      if (use.shows_found && (!same_shape || FurthestApart(found, s.outline) > kSameMm)) s.found = found;
    }
    if (use.shows_stops && s.placement.action != Action::kLeave) {
      Box box = BoundingBox(s.outline_in_tile);
      if (const auto& block = PlateAt(plan, site).body) {
        box = MemberAt(plan.lattice, site).mirrored ? Box{-block->right, block->top, -block->left, block->bottom} : *block;
      }
      const Outline body = frame(s.placement.place, Rectangle(box));
      s.stops = StopPoints(body, request.left_handed != frame.mirrored);
      if (request.use == GuideUse::kStops) s.body = body;
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
  AddLocators(plan, placements, request, frame, guide);
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
      drawn.push_back({{p - Point{kStopRingMm, 0}, p + Point{kStopRingMm, 0}}, shapes.size()});
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
