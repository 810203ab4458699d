// SPDX-License-Identifier: Apache-2.0
#include "guide/make_marks.h"

#include <algorithm>

namespace truepull {

Mark Line(MarkRole role, std::vector<Point> points, Stroke s) {
  return {role, "", PathMark{std::move(points), false, false, s.ink, s.width_mm, s.dash, ""}};
}

Mark Closed(MarkRole role, std::vector<Point> points, Stroke s) {
  return {role, "", PathMark{std::move(points), true, false, s.ink, s.width_mm, s.dash, ""}};
}

Mark Filled(MarkRole role, std::vector<Point> points, Ink ink) {
  return {role, "", PathMark{std::move(points), true, true, ink, 0, Dash::kFull, ""}};
}

std::vector<Point> Circle(Point middle, double radius_mm) {
  constexpr int kSides = 40;  // 0.01 mm off the round at 3 mm radius.
  std::vector<Point> out;
  for (int i = 0; i < kSides; ++i) {
    out.push_back(middle + Rotation(2 * std::numbers::pi * i / kSides) * Point{radius_mm, 0});
  }
  return out;
}

std::vector<Point> Rectangle(const Box& b) {
  return {{b.left, b.top}, {b.right, b.top}, {b.right, b.bottom}, {b.left, b.bottom}};
}

Mark Words(std::string text, Point at, double cap_mm, Anchor anchor, bool bold) {
  TextMark t;
  t.text = std::move(text);
  t.at = at;
  t.cap_mm = cap_mm;
  t.anchor = anchor;
  t.bold = bold;
  return {MarkRole::kWords, "", std::move(t)};
}

double FittingCap(std::string_view text, double width_mm, double most_mm, double least_mm,
                  bool bold) {
  return std::clamp(width_mm / TextWidth(text, 1, bold), least_mm, most_mm);
}

std::vector<std::string> Wrap(std::string_view text, double width_mm, double cap_mm, bool bold) {
  std::vector<std::string> lines;
  std::string line;
  while (!text.empty()) {
    const std::size_t space = std::min(text.find(' '), text.size());
    const std::string_view word = text.substr(0, space);
    std::string longer = line.empty() ? std::string(word) : line + ' ' + std::string(word);
    if (!line.empty() && TextWidth(longer, cap_mm, bold) > width_mm) {
      lines.push_back(std::move(line));
      longer = word;
    }
    line = std::move(longer);
    text.remove_prefix(std::min(space + 1, text.size()));
  }
  if (!line.empty()) lines.push_back(std::move(line));
  return lines;
}

std::vector<Segment> SegmentsOf(const std::vector<Mark>& marks) {
  std::vector<Segment> out;
  for (const Mark& m : marks) {
    if (m.hidden) continue;
    if (const auto* text = std::get_if<TextMark>(&m.what)) {
      const auto r = Rectangle(TextBox(*text));
      for (std::size_t i = 0; i < 4; ++i) out.push_back({r[i], r[(i + 1) % 4]});
      continue;
    }
    const auto& path = std::get<PathMark>(m.what);
    const std::size_t n = path.points.size();
    for (std::size_t i = 0; i + (path.closed ? 0 : 1) < n; ++i) {
      out.push_back({path.points[i], path.points[(i + 1) % n]});
    }
  }
  return out;
}

Mark Moved(Mark mark, Point by) {
  if (auto* path = std::get_if<PathMark>(&mark.what)) {
    for (Point& p : path->points) p = p + by;
  } else {
    std::get<TextMark>(mark.what).at = std::get<TextMark>(mark.what).at + by;
  }
  return mark;
}

}  // namespace truepull
