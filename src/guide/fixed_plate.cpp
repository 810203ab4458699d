// SPDX-License-Identifier: Apache-2.0
#include "truepull/fixed_plate.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "guide/make_marks.h"
#include "guide/words.h"
#include "truepull/lattice.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr double kLineMm = 0.4;
constexpr double kArmMm = 9, kStrokeMm = 10;
constexpr double kLabelMm = 5, kNumberMm = 2.2;
constexpr double kOffMm = 1.4;       // Words from lines.
constexpr double kBorderRoundMm = 14;

struct Kind {
  std::string plate;
  bool mirrored = false;
  int turn_deg = 0;                  // The planned one, to whole degrees.
  Outline outline;                   // As on the paper.
  double turn_rad = 0;
  std::vector<std::size_t> sites;
};

// The sheet lowered for one site, in the frame of the fixed plate.
struct Lowered {
  std::size_t index = 0;
  Point corner;
  Point along;                       // Unit, from the corner along the lower edge.
  Point up;                          // Unit, from the corner along the side.
};

std::vector<Kind> KindsOf(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request) {
  std::vector<Kind> kinds;
  for (std::size_t i = 0; i < placements.size(); ++i) {
    if (placements[i].action == Action::kLeave) continue;
    const Site site = placements[i].site;
    Kind kind;
    kind.plate = PlateAt(plan, site).name;
    kind.mirrored = MemberAt(plan.lattice, site).mirrored;
    kind.turn_rad = IdealPose(plan.lattice, site).turn_rad;
    kind.turn_deg = (static_cast<int>(std::lround(DegFromRad(kind.turn_rad))) % 360 + 360) % 360;
    kind.outline = PlateOutlineAt(plan, request.pass, site);
    const auto same = std::find_if(kinds.begin(), kinds.end(), [&](const Kind& k) {
      return k.plate == kind.plate && k.mirrored == kind.mirrored && k.turn_deg == kind.turn_deg;
    });
    if (same == kinds.end()) kinds.push_back(std::move(kind)), kinds.back().sites = {i};
    else same->sites.push_back(i);
  }
  return kinds;
}

double LeastApart(const std::vector<Lowered>& sheets) {
  double least = 60;
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    for (std::size_t j = i + 1; j < sheets.size(); ++j) least = std::min(least, Norm(sheets[i].corner - sheets[j].corner));
  }
  return least;
}

double Apart(const Box& a, const Box& b) {
  const double dx = std::max({0.0, a.left - b.right, b.left - a.right}), dy = std::max({0.0, a.top - b.bottom, b.top - a.bottom});
  return std::hypot(dx, dy);
}

// How far along the edge the strokes stand: between 0.3 and 0.5 of it (0.3 mm aside on
// 120 mm turn the sheet by 0.14 degree), where they and their names keep furthest from other
// sites' angles; 4 mm are enough, and of equals the furthest along.
double StrokePlace(const std::vector<Lowered>& sheets, double edge_mm, const Box& angle, const Box& stroke) {
  constexpr double kEnoughMm = 4;
  const auto at = [](const Box& b, Point p) { return Box{b.left + p.x, b.top + p.y, b.right + p.x, b.bottom + p.y}; };
  double best = 0.5 * edge_mm, best_clearance = -1;
  for (double d = 0.5 * edge_mm; d >= 0.3 * edge_mm; d -= 1) {
    double clearance = kEnoughMm;
    for (const Lowered& a : sheets) {
      const Box own = at(stroke, a.corner + d * a.along);
      for (const Lowered& b : sheets) clearance = std::min(clearance, Apart(own, at(angle, b.corner)));
      if (clearance <= best_clearance) break;
    }
    if (clearance > best_clearance + 1e-9) best = d, best_clearance = clearance;
  }
  return best;
}

FixedPlate BuildOne(const std::vector<Placement>& placements, const GuideRequest& request, const Kind& kind) {
  const double w = request.state.width_mm, h = request.state.height_mm;
  const bool left_hand = request.left_handed;
  std::vector<Lowered> sheets;
  for (const std::size_t i : kind.sites) {
    const Pose& place = placements[i].place;
    const Rotation turn(place.turn_rad - kind.turn_rad);
    const Point at{w - place.at.x, place.at.y};
    const Point corner{left_hand ? 0 : w, h};
    sheets.push_back({i, turn * (corner - at), turn * Point{left_hand ? 1.0 : -1.0, 0}, turn * Point{0, -1}});
  }
  const double apart = LeastApart(sheets);
  const double arm = std::min(kArmMm, 0.32 * apart), stroke = std::min(kStrokeMm, 0.35 * apart);
  const double cap = std::clamp(0.28 * apart, 1.8, kLabelMm);
  const double label_mm = TextWidth("A10", cap, true) + 1, below = 2 * kOffMm + cap + kNumberMm;
  const Box angle = left_hand ? Box{-label_mm, -arm, arm, below} : Box{-arm, -arm, label_mm, below};
  const double along = StrokePlace(sheets, w, angle, {-stroke / 2, -1, stroke / 2, kOffMm + 0.7 * cap});

  FixedPlate out;
  auto& marks = out.guide.marks;
  const Rotation plate_turn(-kind.turn_rad);
  Outline plate;
  for (const Point p : kind.outline) plate.push_back(plate_turn * Point{-p.x, p.y});
  marks.push_back(Closed(MarkRole::kPlate, plate, {Ink::kBlack, 0.3, Dash::kFull}));
  const Point middle = Centroid(plate);
  marks.push_back(Words("PLATE", {middle.x, middle.y}, 4, Anchor::kMiddle, true));
  marks.push_back(Words("printing face up", {middle.x, middle.y + 5}, 2.6, Anchor::kMiddle));
  for (const Lowered& s : sheets) {
    const Placement& p = placements[s.index];
    const std::string group = fmt::format("site-{}-{}", p.site.row, p.site.column);
    // Outside the sheet by half a line: the inner edges are the aim.
    const Point out_down = -1.0 * s.up, out_side = -1.0 * s.along;
    const double half = kLineMm / 2;
    const Point corner = s.corner + half * (out_down + out_side);
    const auto add = [&](Mark m) {
      m.group = group;
      marks.push_back(std::move(m));
    };
    const Stroke line{Ink::kBlack, kLineMm, Dash::kFull};
    add(Line(MarkRole::kStop, {corner + arm * s.along, corner, corner + arm * s.up}, line));
    const Point middle_of_stroke = s.corner + along * s.along + half * out_down;
    add(Line(MarkRole::kStop, {middle_of_stroke - (stroke / 2) * s.along, middle_of_stroke + (stroke / 2) * s.along}, line));
    const std::string label = SiteLabel(p.site);
    const Anchor anchor = left_hand ? Anchor::kEnd : Anchor::kStart;
    Mark name = Words(label, corner + Point{(left_hand ? -1 : 1) * 0.6, kOffMm + cap}, cap, anchor, true);
    name.role = MarkRole::kLabel;
    add(name);
    const int number = s.index < request.pull_numbers.size() ? request.pull_numbers[s.index] : p.order;
    std::string say = p.action == Action::kPull ? "" : p.action == Action::kStrengthen ? "strengthen" : "look";
    if (number > 0) say += fmt::format("{}pull {}", say.empty() ? "" : ", ", number);
    if (!say.empty() && cap + kNumberMm + arm + 2 * kOffMm + 2 < apart) {
      add(Words(say, corner + Point{(left_hand ? -1 : 1) * 0.6, 2 * kOffMm + cap + kNumberMm}, kNumberMm, anchor));
    }
    name = Words(label, middle_of_stroke + Point{0, kOffMm + 0.7 * cap}, 0.7 * cap, Anchor::kMiddle, true);
    name.role = MarkRole::kStop;
    add(name);
  }
  Box box = BoundingBox(plate);
  for (const Mark& m : marks) {
    const Box b = std::holds_alternative<TextMark>(m.what) ? TextBox(std::get<TextMark>(m.what)) : BoundingBox(std::get<PathMark>(m.what).points);
    box = {std::min(box.left, b.left), std::min(box.top, b.top), std::max(box.right, b.right), std::max(box.bottom, b.bottom)};
  }
  out.plate_at = {kBorderRoundMm - box.left, kBorderRoundMm - box.top};
  for (Mark& m : marks) m = Moved(std::move(m), out.plate_at);
  out.guide.width_mm = box.Width() + 2 * kBorderRoundMm;
  out.guide.height_mm = box.Height() + 2 * kBorderRoundMm;
  return out;
}

}  // namespace

std::vector<FixedPlate> BuildFixedPlates(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& wanted) {
  GuideRequest request = wanted;
  request.use = GuideUse::kFixed;
  const GuideWords words = WordsFor(plan, placements, request);
  const auto kinds = KindsOf(plan, placements, request);
  std::vector<FixedPlate> out;
  for (const Kind& kind : kinds) {
    FixedPlate fixed = BuildOne(placements, request, kind);
    fixed.guide.use = GuideUse::kFixed;
    fixed.guide.mirrored = true;
    fixed.guide.words = words;
    if (kinds.size() > 1) {
      fixed.name = kind.plate + (kind.mirrored ? "-mirrored" : "") + (kind.turn_deg != 0 ? fmt::format("-{}", kind.turn_deg) : "");
      fixed.guide.words.pass += fmt::format("; {}plate {}{}", kind.mirrored ? "mirrored " : "", kind.plate,
                                            kind.turn_deg != 0 ? fmt::format(", turned by {} degrees", kind.turn_deg) : "");
    }
    out.push_back(std::move(fixed));
  }
  return out;
}

}  // namespace truepull
