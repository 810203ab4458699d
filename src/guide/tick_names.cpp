// SPDX-License-Identifier: Apache-2.0
#include "guide/tick_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "guide/make_marks.h"

namespace truepull {
namespace {

constexpr double kCapMm = 2.2, kSmallCapMm = 1.8;  // Read close by, with the hand at the place.
constexpr double kOffMm = 0.7;                     // From the line that is named.
constexpr double kLeastMm = 0.6, kEnoughMm = 1.5;  // From all else; from other sites' lines.
constexpr double kNearMm = 16;                     // Further away nothing can be in the way.
constexpr double kRingMm = 3.6;                    // A page's ring may stand round any locator.

// What is to be named: a line or a round dot.
struct Named {
  std::size_t shape = 0;
  MarkRole role = MarkRole::kTick;
  Segment line;            // Of a dot: twice its middle.
  double half_mm = 0;      // Half the line's width, or the dot's radius.
};

struct Drawn {
  Segment line;
  double half_mm;
  std::size_t shape;       // Whose; the number of shapes: nobody's.
};

double ToBox(const Box& a, const Box& b) {
  const double dx = std::max({0.0, a.left - b.right, b.left - a.right});
  const double dy = std::max({0.0, a.top - b.bottom, b.top - a.bottom});
  return std::hypot(dx, dy);
}

// Places for a box round a line's outer half and beyond its end, or round a dot.
std::vector<Point> Places(const Named& n, double width, double height) {
  const auto reach = [&](Point d) { return (width * std::abs(d.x) + height * std::abs(d.y)) / 2 + n.half_mm + kOffMm; };
  std::vector<Point> out;
  const double length = Norm(n.line.b - n.line.a);
  if (length < 1e-9) {
    for (int i = 0; i < 12; ++i) {
      const Point d = Rotation(i * std::numbers::pi / 6) * Point{1, 0};
      out.push_back(n.line.a + reach(d) * d);
    }
    return out;
  }
  const Point along = (1 / length) * (n.line.b - n.line.a), side{-along.y, along.x};
  out.push_back(n.line.b + (reach(along) - n.half_mm) * along);
  for (const double t : {1.0, 0.8, 0.6, 0.4, 0.2}) {
    for (const double s : {1.0, -1.0}) out.push_back(n.line.a + t * length * along + s * reach(s * side) * side);
  }
  for (const double s : {1.0, -1.0}) {  // Beyond the end, off the line.
    const Point d = (1 / std::sqrt(2.0)) * (along + s * side);
    out.push_back(n.line.b + reach(d) * d);
  }
  return out;
}

}  // namespace

void NameTicks(std::span<const SiteShape> shapes, Guide& guide) {
  std::vector<Named> named;
  std::map<std::string, std::size_t> shape_of;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    const SiteShape& s = shapes[i];
    shape_of[fmt::format("site-{}-{}", s.placement.site.row, s.placement.site.column)] = i;
    for (const Segment& t : s.tick_lines) {
      if (s.crowded) named.push_back({i, MarkRole::kTick, t, 0.25});
    }
    for (std::size_t k = 0; k < s.stops.size(); ++k) {
      named.push_back({i, MarkRole::kStop, {s.stops[k], s.stops[k]}, k == 0 ? kStopRingMm : kStopDotMm});
    }
  }
  if (named.empty()) return;
  std::vector<Drawn> lines;
  std::vector<Box> words;
  for (const Mark& m : guide.marks) {
    if (m.hidden) continue;
    if (const auto* text = std::get_if<TextMark>(&m.what)) {
      words.push_back(TextBox(*text));
      continue;
    }
    const auto it = shape_of.find(m.group);
    const std::size_t owner = it == shape_of.end() ? shapes.size() : it->second;
    const auto& path = std::get<PathMark>(m.what);
    const std::size_t n = path.points.size();
    for (std::size_t i = 0; i + (path.closed ? 0 : 1) < n; ++i) {
      lines.push_back({{path.points[i], path.points[(i + 1) % n]}, path.width_mm / 2, owner});
    }
  }
  std::vector<std::vector<Mark>> names(shapes.size());
  for (const Named& n : named) {
    const Point at = n.line.b;
    std::vector<Drawn> near;
    for (const Drawn& l : lines) {
      if (std::min(l.line.a.x, l.line.b.x) > at.x + kNearMm || std::max(l.line.a.x, l.line.b.x) < at.x - kNearMm ||
          std::min(l.line.a.y, l.line.b.y) > at.y + kNearMm || std::max(l.line.a.y, l.line.b.y) < at.y - kNearMm) {
        continue;
      }
      near.push_back(l);
    }
    const std::string name = SiteLabel(shapes[n.shape].placement.site);
    TextMark best;
    double best_score = 0;
    for (const double cap : {kCapMm, kSmallCapMm}) {
      const double width = TextWidth(name, cap, false);
      for (const Point p : Places(n, width, cap)) {
        TextMark t;
        t.text = name;
        t.cap_mm = cap;
        t.anchor = Anchor::kMiddle;
        t.at = p + Point{0, cap / 2};
        const Box box{p.x - width / 2, p.y - cap / 2, p.x + width / 2, p.y + cap / 2};  // Names have no descenders.
        double least = kEnoughMm, others = kEnoughMm;
        for (const Box& w : words) least = std::min(least, ToBox(box, w));
        for (const Drawn& l : near) {
          const double d = Distance(box, l.line) - l.half_mm;
          if (l.shape != n.shape) others = std::min(others, d);
          else least = std::min(least, d);
          if (std::min(least, others) < kLeastMm) break;
        }
        if (std::min(least, others) < kLeastMm) continue;
        const Box& site = guide.site_boxes[n.shape];
        const bool within = box.left > site.left && box.right < site.right && box.top > site.top && box.bottom < site.bottom;
        // Within what the site takes up anyhow: blocks of sites fill the paper.
        double score = others + (cap == kCapMm ? 0.2 : 0) + (within ? 0.4 : 0);
        for (const Locator& l : guide.locators) {
          if (ToBox(box, {l.at.x, l.at.y, l.at.x, l.at.y}) < kRingMm) score -= 0.3;
        }
        if (score > best_score + 1e-9) best = t, best_score = score;
      }
      if (best_score > 0) break;  // Smaller only where the larger has no room.
    }
    if (best_score <= 0) continue;
    words.push_back(TextBox(best));
    Mark mark{n.role, fmt::format("site-{}-{}", shapes[n.shape].placement.site.row, shapes[n.shape].placement.site.column), best};
    const Box b = TextBox(best);
    Box& site = guide.site_boxes[n.shape];
    site = {std::min(site.left, b.left), std::min(site.top, b.top), std::max(site.right, b.right), std::max(site.bottom, b.bottom)};
    names[n.shape].push_back(std::move(mark));
  }
  // Each beside its site's other marks: a site is one group.
  std::vector<Mark> out;
  out.reserve(guide.marks.size() + named.size());
  for (std::size_t i = 0; i < guide.marks.size(); ++i) {
    const std::string group = guide.marks[i].group;
    out.push_back(std::move(guide.marks[i]));
    const bool last = i + 1 == guide.marks.size() || guide.marks[i + 1].group != group;
    if (const auto it = shape_of.find(group); last && it != shape_of.end()) {
      for (Mark& m : names[it->second]) out.push_back(std::move(m));
      names[it->second].clear();
    }
  }
  guide.marks = std::move(out);
}

}  // namespace truepull
