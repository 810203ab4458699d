// SPDX-License-Identifier: Apache-2.0
// The chart that hangs beside the work: small sheet above, moves in words below.
#include <fmt/format.h>

#include <algorithm>

#include "guide/furniture.h"
#include "guide/make_marks.h"
#include "guide/moves.h"
#include "guide/site_marks.h"
#include "truepull/paper_size.h"

namespace truepull {
namespace {

constexpr double kRowMm = 4.6, kRowCap = 2.5;
constexpr double kBoxMm = 2.8;                 // To be ticked off with a soft pencil.
constexpr double kArrowMm = 6;
constexpr double kSheetShare = 0.5;            // Of the page's height, at most.
constexpr double kHighest = 1.0;

struct ChartLine {
  int number = 0;
  Site site;
  Action action = Action::kPull;
  std::string words;
  std::optional<Point> arrow;
};

std::vector<ChartLine> LinesFor(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request) {
  std::vector<ChartLine> out;
  for (std::size_t i = 0; i < placements.size(); ++i) {
    const Placement& p = placements[i];
    ChartLine line{i < request.pull_numbers.size() ? request.pull_numbers[i] : p.order, p.site, p.action, "", std::nullopt};
    const bool found = i < request.first_impressions.size() && request.first_impressions[i].has_value();
    if (p.action == Action::kLeave) {
      line.words = "leave alone";
    } else if (found) {
      const Pose& impression = *request.first_impressions[i];
      const Point middle = Centroid(OutlineAt(plan, p.site));
      const RoundedMove move = Rounded(Apply(p.place, middle) - Apply(impression, middle),
                                       WrapTurn(p.place.turn_rad - impression.turn_rad), false);
      line.words = MoveWords(move);
      if (move.mm != Point{}) line.arrow = move.mm;
    } else {
      line.words = request.first_pass ? "by the lattice" : "no impression: fit to the neighbours";
    }
    if (p.action == Action::kStrengthen) line.words = "strengthen, " + line.words;
    out.push_back(std::move(line));
  }
  // In the order of the pulls where there is one.
  std::stable_sort(out.begin(), out.end(), [](const ChartLine& a, const ChartLine& b) {
    return (a.number > 0 ? a.number : 1 << 30) < (b.number > 0 ? b.number : 1 << 30);
  });
  return out;
}

void AddArrow(Point middle, Point direction, double length, std::vector<Mark>& out) {
  const Point d = (1 / Norm(direction)) * direction, side{-d.y, d.x};
  const Point tail = middle - (length / 2) * d, tip = middle + (length / 2) * d;
  out.push_back(Line(MarkRole::kMove, {tail, tip - 1.2 * d}, {Ink::kBlack, 0.5, Dash::kFull}));
  out.push_back(Filled(MarkRole::kMove, {tip, tip - 2.2 * d + 0.9 * side, tip - 2.2 * d - 0.9 * side}, Ink::kBlack));
}

}  // namespace

std::vector<GuidePage> LayOutChart(const Plan& plan, const std::vector<Placement>& placements,
                                   const GuideRequest& wanted, Paper paper) {
  GuideRequest request = wanted;
  request.use = GuideUse::kChart;
  // Words and the sheet's size come from the guide; what it draws to size is not used.
  Guide guide = BuildGuide(plan, placements, request);
  const PaperSize size = FindPaperSize(paper == Paper::kSheet ? "A4" : NameOf(paper)).value();
  const bool lying = guide.width_mm > 1.3 * guide.height_mm;
  const double width = lying ? size.long_mm : size.short_mm, height = lying ? size.short_mm : size.long_mm;
  const double left = kPageMarginMm, right = width - kPageMarginMm, bottom = height - kPageMarginMm;
  const std::vector<ChartLine> lines = LinesFor(plan, placements, request);

  std::vector<GuidePage> pages;
  std::size_t next = 0;
  double longest = 0;
  for (const ChartLine& l : lines) longest = std::max(longest, TextWidth(l.words, kRowCap, false));
  const double column = 2 * kBoxMm + 26 + longest;
  const int columns = std::max(1, static_cast<int>((right - left) / column));
  while (pages.empty() || next < lines.size()) {
    GuidePage page;
    page.width_mm = width;
    page.height_mm = height;
    page.label = pages.empty() ? "chart" : fmt::format("chart, page {}", pages.size() + 1);
    AddHeader(guide, {left, kPageMarginMm, right, kPageMarginMm + kHeaderMm}, page.label, nullptr, page.marks);
    double y = kPageMarginMm + kHeaderMm + 4;
    if (pages.empty()) {
      const double scale = std::min({kHighest, (right - left) / guide.width_mm, kSheetShare * (bottom - y) / guide.height_mm});
      const Point origin{left + (right - left - scale * guide.width_mm) / 2, y + 5};
      page.sheet_at = origin;
      page.window = {0, 0, guide.width_mm, guide.height_mm};
      const auto at = [&](Point p) { return origin + scale * p; };
      page.marks.push_back(Words("TOP EDGE", at({guide.width_mm / 2, 0}) + Point{0, -1.4}, 2.6, Anchor::kMiddle, true));
      page.marks.push_back(Closed(MarkRole::kSheet, Rectangle({at({0, 0}).x, at({0, 0}).y, at({guide.width_mm, 0}).x,
                                                               at({0, guide.height_mm}).y}), {Ink::kBlack, 0.4, Dash::kFull}));
      for (const ChartLine& l : lines) {
        const auto it = std::find_if(placements.begin(), placements.end(), [&](const Placement& p) { return p.site == l.site; });
        const std::string group = fmt::format("site-{}-{}", l.site.row, l.site.column);
        std::vector<Mark> marks;
        Outline outline;
        for (const Point p : Apply(it->place, PlateOutlineAt(plan, request.pass, l.site))) outline.push_back(at(p));
        const ActionLook look = LookOf(l.action);
        marks.push_back(Closed(MarkRole::kOutline, outline, {look.ink, 0.2, look.dash}));
        const Box box = BoundingBox(outline);
        const Point middle = Centroid(outline);
        const std::string label = SiteLabel(l.site);
        const double cap = std::clamp(0.28 * box.Height(), 1.8, 5.0);
        const bool arrow_fits = box.Height() > cap + kArrowMm + 2;
        Mark text = Words(label, {middle.x, middle.y + (l.arrow && arrow_fits ? -0.6 : cap / 2)}, cap, Anchor::kMiddle, true);
        text.role = MarkRole::kLabel;
        marks.push_back(text);
        if (l.arrow && arrow_fits) AddArrow({middle.x, middle.y + 1 + kArrowMm / 2}, *l.arrow, kArrowMm, marks);
        for (Mark& m : marks) m.group = group, page.marks.push_back(std::move(m));
      }
      y = at({0, guide.height_mm}).y + 4;
      page.marks.push_back(Words("THIS EDGE NEAREST YOU", {at({guide.width_mm / 2, 0}).x, y}, 2.8, Anchor::kMiddle, true));
      y += 5;
      for (const auto& step : guide.words.steps) {
        for (const std::string& line : Wrap("- " + step, right - left, 2.4)) {
          page.marks.push_back(Words(line, {left, y}, 2.4));
          y += 3.9;
        }
      }
      page.marks.push_back(Words(fmt::format("Drawn at {:.0f} % of its size. Arrows show which way only. Moves are in mm, rounded to "
                                             "0.5; ↻ as a clock's hand.", 100 * scale), {left, y}, 2.2));
      y += 6;
    }
    // The table, column by column.
    const int rows = std::max(1, static_cast<int>((bottom - y) / kRowMm));
    const auto left_over = static_cast<int>(lines.size() - next);
    const int deep = std::min(rows, (left_over + columns - 1) / columns);
    for (int c = 0; c < columns; ++c) {
      for (int r = 0; r < deep && next < lines.size(); ++r, ++next) {
        const ChartLine& l = lines[next];
        const Point at{left + c * (right - left) / columns, y + r * kRowMm};
        page.marks.push_back(Closed(MarkRole::kSign, Rectangle({at.x, at.y, at.x + kBoxMm, at.y + kBoxMm}), {Ink::kGrey, 0.25, Dash::kFull}));
        if (l.number > 0) page.marks.push_back(Words(fmt::format("{}", l.number), {at.x + kBoxMm + 8, at.y + kRowCap}, kRowCap, Anchor::kEnd));
        page.marks.push_back(Words(SiteLabel(l.site), {at.x + kBoxMm + 10, at.y + kRowCap}, kRowCap, Anchor::kStart, true));
        page.marks.push_back(Words(l.words, {at.x + kBoxMm + 21, at.y + kRowCap}, kRowCap));
      }
    }
    pages.push_back(std::move(page));
  }
  return pages;
}

}  // namespace truepull
