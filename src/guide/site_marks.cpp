// SPDX-License-Identifier: Apache-2.0
#include "guide/site_marks.h"

#include <fmt/format.h>

#include <algorithm>

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

std::vector<Mark> SiteMarks(const SiteShape& shape, std::span<const SiteTick> ticks,
                            std::span<const Segment> lines) {
  const Placement& p = shape.placement;
  const ActionLook look = LookOf(p.action);
  std::vector<Mark> out;
  if (shape.found) {
    out.push_back(Closed(MarkRole::kFound, *shape.found, {Ink::kGrey, 0.2, Dash::kShort}));
  }
  out.push_back(Closed(MarkRole::kOutline, shape.outline, {look.ink, kTargetLineMm, look.dash}));
  for (const SiteTick& t : ticks) {
    if (t.site != p.site) continue;
    out.push_back(Line(MarkRole::kTick, {t.from, t.to}, {Ink::kBlack, kTickLineMm, Dash::kFull}));
  }

  // Label, sign below, and for all but plain pulls the word below that: as much as fits.
  const std::string label = SiteLabel(p.site);
  const double label_width = TextWidth(label, kLabelMm, true);
  const double word_width = TextWidth(look.word, kWordMm, false);
  const bool plain = p.action == Action::kPull;
  const double sign_height = plain ? 2.4 : kSignMm;
  const double gap = 1.6;
  const double with_sign = kLabelMm + gap + sign_height;
  const double with_word = with_sign + gap + kWordMm;
  LabelPlace place;
  bool word = !plain;
  if (word) {
    place = PlaceLabel(shape, lines, std::max(label_width, word_width), with_word, kClearMm);
    word = place.clearance_mm >= 1.0;
  }
  bool beside = false;
  if (!word) {
    place = PlaceLabel(shape, lines, label_width, with_sign, kClearMm);
    if (place.clearance_mm < 0.8) {  // A narrow tile: the sign beside the label.
      const LabelPlace wide = PlaceLabel(shape, lines, label_width + gap + kSignMm, kLabelMm, kClearMm);
      beside = wide.clearance_mm > place.clearance_mm;
      if (beside) place = wide;
    }
  }
  const double height = beside ? kLabelMm : word ? with_word : with_sign;
  const double top = place.middle.y - height / 2;
  const double label_x = beside ? place.middle.x - (gap + kSignMm) / 2 : place.middle.x;
  Mark text = Words(label, {label_x, top + kLabelMm}, kLabelMm, Anchor::kMiddle, true);
  text.role = MarkRole::kLabel;
  out.push_back(text);
  const Point sign = beside ? Point{place.middle.x + (label_width + gap) / 2, place.middle.y}
                            : Point{place.middle.x, top + kLabelMm + gap + sign_height / 2};
  for (Mark& m : SignOf(p.action, sign)) out.push_back(std::move(m));
  if (word) {
    Mark w = Words(look.word, {place.middle.x, top + with_word}, kWordMm, Anchor::kMiddle);
    w.role = MarkRole::kSign;
    out.push_back(w);
  }
  const std::string group = fmt::format("site-{}-{}", p.site.row, p.site.column);
  for (Mark& m : out) m.group = group;
  return out;
}

}  // namespace truepull
