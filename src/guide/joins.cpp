// SPDX-License-Identifier: Apache-2.0
#include "guide/joins.h"

#include <algorithm>
#include <string>

#include "guide/clearance.h"
#include "guide/furniture.h"
#include "guide/make_marks.h"

namespace truepull {
namespace {

constexpr double kCrossMm = 3.8;     // Half the length of a cross's arms: fits the overlap.
constexpr double kRingMm = 2.2;      // Tells a cross from a register tick.
constexpr double kBorderLineMm = 3.8;

// A join runs along x or along y; positions are (along, across).
struct Join {
  bool along_x = false;              // The pages lie one above the other.
  double middle = 0;                 // Of the overlap, across.
  double from = 0, to = 0;           // Along.
  Point At(double along, double across) const {
    return along_x ? Point{along, across} : Point{across, along};
  }
};

Box Around(Point p, double half) { return {p.x - half, p.y - half, p.x + half, p.y + half}; }

std::string CrossName(int index) {
  std::string name(1, static_cast<char>('a' + index % 26));
  return index < 26 ? name : name + std::to_string(index / 26);
}

std::vector<Mark> Cross(Point p, const std::string& name) {
  const Stroke thin{Ink::kBlack, 0.2, Dash::kFull};
  Mark word = Words(name, p + Point{kRingMm + 0.2, -kRingMm + 0.4}, 2.2);
  word.role = MarkRole::kJoinCross;
  return {Line(MarkRole::kJoinCross, {p - Point{kCrossMm, 0}, p + Point{kCrossMm, 0}}, thin),
          Line(MarkRole::kJoinCross, {p - Point{0, kCrossMm}, p + Point{0, kCrossMm}}, thin),
          Closed(MarkRole::kJoinCross, Circle(p, kRingMm), thin), word};
}

// The clearest place for a cross along a stretch of the join.
Point CrossPlace(const Join& join, double from, double to, const std::vector<Segment>& lines) {
  Point best = join.At((from + to) / 2, join.middle);
  double best_clearance = -5;
  for (double along = from; along <= to; along += 1) {
    const Point p = join.At(along, join.middle);
    double clearance = Clearance(Around(p, kCrossMm), lines, 3.0);
    // Where lines come too near everywhere, at least its middle is to stand free.
    if (clearance == 0) clearance = -4 + Clearance(Around(p, kRingMm / 2), lines, 3.0);
    if (clearance > best_clearance) best = p, best_clearance = clearance;
  }
  return best;
}

// Where along the join its check length runs: in the sheet's border where a page has
// one, for nothing else stands there; else where its ends are clearest.
double LengthPlace(const Join& join, const Guide& guide, const std::vector<Segment>& lines) {
  const double edge = join.along_x ? guide.width_mm : guide.height_mm;
  if (join.from < 0) return -kBorderLineMm;
  if (join.to > edge) return edge + kBorderLineMm;
  double best = (join.from + join.to) / 2, best_clearance = -1;
  for (double along = join.from + 15; along <= join.to - 15; along += 1) {
    double clearance = 3;
    for (const double side : {-1.0, 1.0}) {
      const Point end = join.At(along, join.middle + side * kJoinLengthMm / 2);
      clearance = Clearance(Around(end, 1.5), lines, clearance);
    }
    if (clearance > best_clearance) best = along, best_clearance = clearance;
  }
  return best;
}

std::vector<Mark> Length(const Join& join, double along) {
  const Stroke thin{Ink::kBlack, 0.2, Dash::kFull};
  const double from = join.middle - kJoinLengthMm / 2, to = join.middle + kJoinLengthMm / 2;
  std::vector<Mark> out{
      Line(MarkRole::kJoinLength, {join.At(along, from), join.At(along, to)}, thin)};
  for (const double across : {from, to}) {
    out.push_back(Line(MarkRole::kJoinLength,
                       {join.At(along - 1.2, across), join.At(along + 1.2, across)}, thin));
  }
  // Said on either side of the join, so that each page has it.
  for (const double side : {-1.0, 1.0}) {
    Mark word = Words("60 mm", join.At(along, join.middle + side * 18) , 2.2, Anchor::kMiddle);
    auto& t = std::get<TextMark>(word.what);
    if (join.along_x) {
      t.quarter_turns = along < 0 ? 3 : 1;
      t.at.x += along < 0 ? -1.0 : 1.0;
    } else {
      t.at.y += along < 0 ? -1.0 : 1.0 + 2.2;
    }
    word.role = MarkRole::kJoinLength;
    out.push_back(word);
  }
  return out;
}

}  // namespace

std::vector<std::vector<Mark>> JoinMarks(const Guide& guide, const PageGrid& grid) {
  std::vector<std::vector<Mark>> out(grid.windows.size());
  std::vector<Segment> lines = SegmentsOf(guide.marks);
  for (const Mark& m : guide.marks) {
    const auto* text = std::get_if<TextMark>(&m.what);
    if (text == nullptr || m.hidden) continue;
    const Box b = TextBox(*text);  // Its middle too: a cross may be smaller than a word.
    const double middle = (b.top + b.bottom) / 2;
    lines.push_back({{b.left, middle}, {b.right, middle}});
  }
  int crosses = 0;
  const auto join_pages = [&](std::size_t a, std::size_t b, bool along_x) {
    const Box& p = grid.windows[a];
    const Box& q = grid.windows[b];
    Join join;
    join.along_x = along_x;
    join.middle = along_x ? (p.bottom + q.top) / 2 : (p.right + q.left) / 2;
    join.from = along_x ? p.left : p.top;
    join.to = along_x ? p.right : p.bottom;
    const auto add = [&](const std::vector<Mark>& marks) {
      out[a].insert(out[a].end(), marks.begin(), marks.end());
      out[b].insert(out[b].end(), marks.begin(), marks.end());
      const auto more = SegmentsOf(marks);
      lines.insert(lines.end(), more.begin(), more.end());
    };
    const double along = LengthPlace(join, guide, lines);
    add(Length(join, along));
    // Two crosses far apart fix the turn; corners belong to four pages, so keep off them.
    const double keep = kJoinOverlapMm + kCrossMm, third = (join.to - join.from) / 3;
    add(Cross(CrossPlace(join, join.from + keep, join.from + third, lines), CrossName(crosses++)));
    add(Cross(CrossPlace(join, join.to - third, join.to - keep, lines), CrossName(crosses++)));
  };
  const auto at = [&](int row, int column) {
    return static_cast<std::size_t>(row * grid.columns + column);
  };
  for (int r = 0; r < grid.rows; ++r) {
    for (int c = 0; c < grid.columns; ++c) {
      if (c + 1 < grid.columns) join_pages(at(r, c), at(r, c + 1), false);
      if (r + 1 < grid.rows) join_pages(at(r, c), at(r + 1, c), true);
    }
  }
  return out;
}

}  // namespace truepull
