// SPDX-License-Identifier: Apache-2.0
#include "guide/crowding.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "guide/line_grid.h"

namespace truepull {
namespace {

constexpr double kTickWidthMm = 0.5;
constexpr double kPieceFromMm = 1.0, kPieceToMm = 8.0;  // From the target point, along the outline.
constexpr double kStepMm = 0.25;
constexpr double kLeastPieceMm = 1.5;                   // Shorter is a dot, not a direction.
constexpr double kCoarseMm = 0.2;                       // Both coarse outlines together.
constexpr double kLeastTickMm = 2.0;                    // Shorter shows no direction.

// The outline from the point nearest to `at`, one way round, in steps.
std::vector<Point> Walk(const Outline& outline, Point at, bool onwards) {
  const std::size_t n = outline.size();
  std::size_t first = 0;
  for (std::size_t i = 1; i < n; ++i) {
    if (Norm(outline[i] - at) < Norm(outline[first] - at)) first = i;
  }
  std::vector<Point> out{outline[first]};
  double carry = 0;
  Point from = outline[first];
  for (std::size_t k = 1; k <= n && static_cast<double>(out.size() - 1) * kStepMm < kPieceToMm; ++k) {
    const Point to = outline[onwards ? (first + k) % n : (first + n - k % n) % n];
    const double length = Norm(to - from);
    double along = kStepMm - carry;
    for (; along <= length + 1e-12; along += kStepMm) {
      out.push_back(from + (along / length) * (to - from));
      if (static_cast<double>(out.size() - 1) * kStepMm >= kPieceToMm) return out;
    }
    carry = length - (along - kStepMm);
    from = to;
  }
  return out;
}

// The longest stretch of a walk that keeps clear; empty when shorter than is of use.
std::vector<Point> ClearStretch(const std::vector<Point>& walk, const LineGrid& kept, int owner, double apart) {
  std::size_t best_from = 0, best_to = 0, from = 0;
  bool open = false;
  const auto first = static_cast<std::size_t>(kPieceFromMm / kStepMm);
  for (std::size_t i = first; i <= walk.size(); ++i) {
    const bool clear = i + 1 < walk.size() && kept.Distance({walk[i], walk[i + 1]}, owner, apart) >= apart - 1e-9;
    if (clear && !open) from = i, open = true;
    if (!clear && open) {
      if (i - from > best_to - best_from) best_from = from, best_to = i;
      open = false;
    }
  }
  if (static_cast<double>(best_to - best_from) * kStepMm < kLeastPieceMm) return {};
  const auto at = walk.begin();
  return {at + static_cast<std::ptrdiff_t>(best_from), at + static_cast<std::ptrdiff_t>(best_to) + 1};
}

// Points on the line between their neighbours say nothing; straight pieces keep their ends.
std::vector<Point> WithoutNeedless(const std::vector<Point>& piece) {
  if (piece.size() < 3) return piece;
  std::vector<Point> out{piece.front()};
  for (std::size_t i = 1; i + 1 < piece.size(); ++i) {
    const Point along = piece[i + 1] - out.back();
    const double off = std::abs(Cross(along, piece[i] - out.back())) / std::max(Norm(along), 1e-12);
    if (off > 1e-4) out.push_back(piece[i]);
  }
  out.push_back(piece.back());
  return out;
}

}  // namespace

void SettleCrowding(std::vector<SiteShape>& shapes, std::span<const SiteTick> ticks, double line_mm) {
  const double apart = kLinesApartMm + line_mm;
  LineGrid all, kept, whole_ticks;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    for (const Segment& s : shapes[i].edges) all.Add(s, static_cast<int>(i));
  }
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    SiteShape& shape = shapes[i];
    shape.crowded = std::any_of(shape.edges.begin(), shape.edges.end(), [&](const Segment& s) {
      return all.Distance(s, static_cast<int>(i), apart + kCoarseMm) < apart + kCoarseMm - 1e-9;
    });
    for (std::size_t k = 0; !shape.crowded && k < shape.drawn.size(); ++k) {
      kept.Add({shape.drawn[k], shape.drawn[(k + 1) % shape.drawn.size()]}, static_cast<int>(i));
    }
    for (std::size_t k_stop = 0; k_stop < shape.stops.size(); ++k_stop) {
      const Point p = shape.stops[k_stop];
      const double radius = k_stop == 0 ? kStopRingMm : kStopDotMm;
      for (int k = 0; k < 8; ++k) {
        const auto at = [&](int j) { return p + Rotation(j * std::numbers::pi / 4) * Point{radius, 0}; };
        kept.Add({at(k), at(k + 1)}, static_cast<int>(i));
      }
    }
  }
  const auto index_of = [&](Site site) {
    const auto it = std::find_if(shapes.begin(), shapes.end(), [&](const SiteShape& s) { return s.placement.site == site; });
    return static_cast<std::size_t>(it - shapes.begin());
  };
  std::vector<std::size_t> owner;
  std::size_t last = 0;
  for (const SiteTick& t : ticks) {
    // Ticks come in the order of shapes.
    while (last < shapes.size() && shapes[last].placement.site != t.site) ++last;
    if (last == shapes.size()) last = index_of(t.site);
    owner.push_back(last);
    whole_ticks.Add({t.from, t.to}, static_cast<int>(last));
  }
  const double tick_apart = kLinesApartMm + (kTickWidthMm + std::max(line_mm, kTickWidthMm)) / 2;
  for (std::size_t k = 0; k < ticks.size(); ++k) {
    const SiteTick& t = ticks[k];
    const int own = static_cast<int>(owner[k]);
    const double length = Norm(t.to - t.from);
    const Point along = (1 / length) * (t.to - t.from);
    // Two ticks that meet at a corner both step back, so that they look alike.
    const double first = whole_ticks.Distance({t.from, t.to}, own, tick_apart) < tick_apart ? 1.25 : 0;
    Segment line{t.from + first * along, t.to};
    // With a gutter all round there is room for the whole tick; its direction was chosen well.
    if (!shapes[owner[k]].crowded) line.a = t.from;
    double best_distance = shapes[owner[k]].crowded ? -1 : tick_apart;
    // As long as can be; 5 to 8 mm outside are read beside a hand.
    for (const double reach : {length, 8.0, 5.75, 5.0}) {
      for (double start = first; start <= reach - kLeastTickMm && best_distance < tick_apart - 1e-9; start += 0.25) {
        const Segment tried{t.from + start * along, t.from + reach * along};
        const double d = kept.Distance(tried, own, tick_apart);
        if (d > best_distance + 1e-9) line = tried, best_distance = d;
      }
    }
    shapes[owner[k]].tick_lines.push_back(line);
    kept.Add(line, own);
  }
  const double piece_apart = kLinesApartMm + (line_mm + std::max(line_mm, kTickWidthMm)) / 2;
  std::size_t k = 0;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    SiteShape& shape = shapes[i];
    while (k < ticks.size() && owner[k] < i) ++k;
    if (!shape.crowded) continue;
    for (std::size_t j = k; j < ticks.size() && owner[j] == i; ++j) {
      for (const bool onwards : {true, false}) {
        auto piece = ClearStretch(Walk(shape.drawn, ticks[j].from, onwards), kept, static_cast<int>(i), piece_apart);
        piece = WithoutNeedless(piece);
        for (std::size_t q = 0; q + 1 < piece.size(); ++q) kept.Add({piece[q], piece[q + 1]}, static_cast<int>(i));
        if (!piece.empty()) shape.pieces.push_back(std::move(piece));
      }
    }
  }
}

std::vector<SitePair> PairsNearerThan(std::span<const SiteShape> shapes, double apart_mm) {
  std::vector<SitePair> out;
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    for (std::size_t j = i + 1; j < shapes.size(); ++j) {
      const Box &a = shapes[i].box, &b = shapes[j].box;
      if (a.left - apart_mm > b.right || b.left - apart_mm > a.right || a.top - apart_mm > b.bottom ||
          b.top - apart_mm > a.bottom) {
        continue;
      }
      double least = apart_mm;
      for (const Segment& s : shapes[i].edges) {
        least = Clearance(s, shapes[j].edges, least);
        if (least < apart_mm) break;
      }
      if (least < apart_mm) out.emplace_back(static_cast<int>(i), static_cast<int>(j));
    }
  }
  return out;
}

std::vector<int> PartsWithoutPairs(int nodes, const std::vector<SitePair>& pairs) {
  // Exact for the few parts that a plane pattern needs; 20 000 steps take milliseconds.
  for (int parts = 1; parts < nodes; ++parts) {
    const GraphColouring found = ColourGraph(nodes, pairs, parts, {}, 20000);
    if (found.answer == GraphColouring::Answer::kFound) return found.colour;
  }
  std::vector<int> each(static_cast<std::size_t>(nodes));
  for (int i = 0; i < nodes; ++i) each[static_cast<std::size_t>(i)] = i;
  return each;
}

}  // namespace truepull
