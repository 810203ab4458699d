// SPDX-License-Identifier: Apache-2.0
#include "guide/sheet_marks.h"

#include "guide/make_marks.h"
#include "truepull/marker_cards.h"

namespace truepull {
namespace {

constexpr double kBracketArmMm = 15;
constexpr double kBracketOffMm = 1.2;   // Clear of the sheet's edge, so both show.
constexpr double kCentreInMm = 5;       // Long inside the sheet, ...
constexpr double kCentreOutMm = 2;      // ... short outside, where joins are checked.

}  // namespace

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

// The sheet
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

}  // namespace truepull
