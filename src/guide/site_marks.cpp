// SPDX-License-Identifier: Apache-2.0
#include "guide/site_marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "guide/make_marks.h"

namespace truepull {
namespace {

constexpr double kLabelMm = 5.0;      // Read at 600 mm over the bench.
constexpr double kWordMm = 2.4;
constexpr double kSignMm = 4.0;
constexpr double kTargetLineMm = 0.3; // What an eye can halve: 0.25-0.35.
constexpr double kTickLineMm = 0.5;   // Told from a neighbour's outline by its weight.
constexpr double kClearMm = 1.5;      // Nearer, two lines run together at arm's length.

}  // namespace

Outline GuideFrame::operator()(const Pose& pose, std::span<const Point> outline_in_tile) const {
  Outline out = Apply(pose, outline_in_tile);
  for (Point& p : out) p = (*this)(p);
  return out;
}

ActionLook LookOf(Action action) {
  switch (action) {
    case Action::kPull: return {Ink::kBlue, Dash::kFull, "pull"};
    case Action::kStrengthen: return {Ink::kBlue, Dash::kLong, "strengthen"};
    case Action::kLeave: return {Ink::kGrey, Dash::kDots, "leave"};
    default: return {Ink::kOrange, Dash::kShort, "look"};
  }
}

Stroke TargetStroke(Action action, const UseLook& use) {
  const bool on_light = use.aim == LineAim::kInnerEdge;
  const ActionLook look = LookOf(action);
  return {on_light && action == Action::kPull ? Ink::kBlack : look.ink, use.line_mm, look.dash};
}

std::vector<Mark> SignOf(Action action, Point m) {
  const Ink ink = LookOf(action).ink;
  const double r = kSignMm / 2;
  const Stroke thick{ink, 1.0, Dash::kFull};
  std::vector<Mark> out;
  switch (action) {
    case Action::kPull:
      out.push_back(Filled(MarkRole::kSign, Circle(m, 1.2), ink));
      break;
    case Action::kStrengthen:
      out.push_back(Line(MarkRole::kSign, {m - Point{r, 0}, m + Point{r, 0}}, thick));
      out.push_back(Line(MarkRole::kSign, {m - Point{0, r}, m + Point{0, r}}, thick));
      break;
    case Action::kLeave:
      out.push_back(Line(MarkRole::kSign, {m - Point{r, r}, m + Point{r, r}}, thick));
      out.push_back(Line(MarkRole::kSign, {m - Point{r, -r}, m + Point{r, -r}}, thick));
      break;
    default: {
      // An open triangle standing on its base: a warning sign without words.
      const Stroke line{ink, 0.7, Dash::kFull};
      out.push_back(Closed(MarkRole::kSign, {m + Point{0, -r}, m + Point{r, r * 0.8},
                                             m + Point{-r, r * 0.8}}, line));
      break;
    }
  }
  return out;
}

std::vector<Point> StopPoints(std::span<const Point> body, bool at_left) {
  std::size_t corner = 0;
  const auto towards_hand = [&](Point p) { return (at_left ? -p.x : p.x) + p.y; };
  for (std::size_t i = 1; i < 4; ++i) {
    if (towards_hand(body[i]) > towards_hand(body[corner])) corner = i;
  }
  const Point c = body[corner], next = body[(corner + 1) % 4], before = body[(corner + 3) % 4];
  const Point along = Norm(next - c) >= Norm(before - c) ? next : before;
  return {c, c + 0.8 * (along - c)};
}

namespace {

// What stands in a site: the label with its sign, and rows of words below it.
struct Row {
  std::string text;
  double cap_mm = kWordMm;
  MarkRole role = MarkRole::kSign;
  std::optional<Point> arrow;  // Which way the move goes; the arrow stands before the words.
};
constexpr double kDescenderOfCap = 0.33;
constexpr double kRowGapMm = 1.3, kGapMm = 1.6, kArrowMm = 5, kNumberMm = 2.8;

double WidthOf(const Row& row) {
  return TextWidth(row.text, row.cap_mm, false) + (row.arrow ? kArrowMm + 1.2 : 0);
}

struct Content {
  std::vector<Row> rows;
  double width = 0, height = 0;
};

Content ContentOf(std::vector<Row> rows, double head_width) {
  Content c{std::move(rows), head_width, kLabelMm};
  for (const Row& r : c.rows) {
    c.width = std::max(c.width, WidthOf(r));
    c.height += kRowGapMm + r.cap_mm;
  }
  if (!c.rows.empty()) c.height += kDescenderOfCap * c.rows.back().cap_mm;
  return c;
}

void AddArrow(Point from, Point direction, std::vector<Mark>& out) {
  const Point d = (1 / Norm(direction)) * direction, side{-d.y, d.x};
  // An upright arrow is shorter: it must not reach into the rows above and below.
  const double length = 3.2 + (kArrowMm - 3.2) * std::abs(d.x);
  const Point tail = from + Point{kArrowMm / 2, 0} - (length / 2) * d, tip = tail + length * d;
  out.push_back(Line(MarkRole::kMove, {tail, tip - 1.2 * d}, {Ink::kBlack, 0.4, Dash::kFull}));
  out.push_back(Filled(MarkRole::kMove, {tip, tip - 1.9 * d + 0.8 * side, tip - 1.9 * d - 0.8 * side}, Ink::kBlack));
}

// From all that is worth saying down to the label alone.
std::vector<std::vector<Row>> RowChoices(const SiteShape& shape, const ActionLook& look) {
  const bool plain = shape.placement.action == Action::kPull;
  std::vector<Row> must, number, move, plan;
  if (!plain) must.push_back({look.word, kWordMm, MarkRole::kSign, std::nullopt});
  if (shape.number > 0 && shape.placement.action != Action::kLeave) number.push_back({fmt::format("pull {}", shape.number), kNumberMm, MarkRole::kSign, std::nullopt});
  if (shape.move && shape.placement.action != Action::kLeave) {
    if (shape.move->none()) {
      move.push_back({"as it lies", kWordMm, MarkRole::kMove, std::nullopt});
    } else {
      if (const auto words = ShiftWords(*shape.move); !words.empty()) {
        move.push_back({words, kWordMm, MarkRole::kMove, shape.move->mm});
      }
      if (const auto words = TurnWords(*shape.move); !words.empty()) {
        move.push_back({words, kWordMm, MarkRole::kMove, std::nullopt});
      }
    }
  }
  if (shape.from_plan) {
    const std::string words = shape.from_plan->none() ? "on plan" : "from plan: " + MoveWords(*shape.from_plan);
    plan.push_back({words, 2.0, MarkRole::kMove, std::nullopt});
  }
  std::vector<std::vector<Row>> out;
  const auto choice = [&](std::initializer_list<const std::vector<Row>*> parts) {
    std::vector<Row> rows;
    for (const auto* p : parts) rows.insert(rows.end(), p->begin(), p->end());
    if (!rows.empty() && (out.empty() || rows.size() != out.back().size())) out.push_back(std::move(rows));
  };
  choice({&must, &number, &move, &plan});
  choice({&must, &number, &move});
  choice({&must, &number});
  choice({&must});
  return out;
}

}  // namespace

std::vector<Mark> SiteMarks(const SiteShape& shape, const UseLook& use, std::span<const Segment> lines) {
  const Placement& p = shape.placement;
  const ActionLook look = LookOf(p.action);
  std::vector<Mark> out;
  const Stroke stroke = TargetStroke(p.action, use);
  if (shape.found && !shape.crowded) {
    out.push_back(Closed(MarkRole::kFound, *shape.found, {Ink::kGrey, 0.2, Dash::kShort}));
  }
  if (!shape.body.empty()) {
    Mark body = Closed(MarkRole::kBody, shape.body, {Ink::kGrey, 0.2, Dash::kLong});
    body.hidden = shape.crowded;
    out.push_back(body);
  }
  Mark outline = Closed(shape.role, shape.drawn, stroke);
  outline.hidden = shape.crowded;
  out.push_back(outline);
  for (const auto& piece : shape.pieces) out.push_back(Line(MarkRole::kCorner, piece, {stroke.ink, stroke.width_mm, Dash::kFull}));
  for (const Segment& t : shape.tick_lines) {
    out.push_back(Line(MarkRole::kTick, {t.a, t.b}, {Ink::kBlack, kTickLineMm, Dash::kFull}));
  }
  for (std::size_t i = 0; i < shape.stops.size(); ++i) {
    out.push_back(Filled(MarkRole::kStop, Circle(shape.stops[i], kStopDotMm), Ink::kBlack));
    if (i == 0) out.push_back(Closed(MarkRole::kStop, Circle(shape.stops[i], kStopRingMm), {Ink::kBlack, 0.25, Dash::kFull}));
  }

  // The label with its sign beside it and as many rows of words as find room.
  const std::string label = SiteLabel(p.site);
  const double label_width = TextWidth(label, kLabelMm, true);
  const double head_width = label_width + kGapMm + kSignMm;
  Content content = ContentOf({}, head_width);
  LabelPlace place{{}, -1};
  for (const auto& rows : RowChoices(shape, look)) {
    Content c = ContentOf(rows, head_width);
    if (c.width > shape.box.Width() || c.height > shape.box.Height()) continue;
    const LabelPlace at = PlaceLabel(shape, lines, c.width, c.height, kClearMm);
    if (at.clearance_mm < 1.0) continue;
    content = std::move(c), place = at;
    break;
  }
  bool below = false, alone = false;
  if (place.clearance_mm < 0) {
    place = PlaceLabel(shape, lines, head_width, kLabelMm, kClearMm);
    if (place.clearance_mm < 1.0) {  // A narrow tile: the sign below the label.
      const LabelPlace tall = PlaceLabel(shape, lines, std::max(label_width, kSignMm), kLabelMm + kGapMm + kSignMm, kClearMm);
      below = tall.clearance_mm > place.clearance_mm;
      if (below) place = tall;
    }
    // Smaller still: a plain pull's dot is left out, for any other sign tells more.
    if (place.clearance_mm < 0.5 && p.action == Action::kPull) {
      place = PlaceLabel(shape, lines, label_width, kLabelMm, kClearMm);
      below = false, alone = true;
    }
  }
  const double height = below ? kLabelMm + kGapMm + kSignMm : content.height;
  const double top = place.middle.y - height / 2;
  const double label_x = below || alone ? place.middle.x : place.middle.x - (kGapMm + kSignMm) / 2;
  Mark text = Words(label, {label_x, top + kLabelMm}, kLabelMm, Anchor::kMiddle, true);
  text.role = MarkRole::kLabel;
  out.push_back(text);
  const Point sign = below ? Point{place.middle.x, top + kLabelMm + kGapMm + kSignMm / 2}
                           : Point{place.middle.x + (label_width + kGapMm) / 2, top + kLabelMm / 2};
  if (!alone) {
    for (Mark& m : SignOf(p.action, sign)) out.push_back(std::move(m));
  }
  double y = top + kLabelMm;
  for (const Row& row : below || alone ? std::vector<Row>{} : content.rows) {
    y += kRowGapMm + row.cap_mm;
    const double left = place.middle.x - WidthOf(row) / 2;
    if (row.arrow) AddArrow({left, y - row.cap_mm / 2}, *row.arrow, out);
    Mark w = row.arrow ? Words(row.text, {left + kArrowMm + 1.2, y}, row.cap_mm)
                       : Words(row.text, {place.middle.x, y}, row.cap_mm, Anchor::kMiddle);
    w.role = row.role;
    out.push_back(w);
  }
  const std::string group = fmt::format("site-{}-{}", p.site.row, p.site.column);
  for (Mark& m : out) m.group = group;
  return out;
}

}  // namespace truepull
