// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "truepull/tiling.h"

namespace truepull {
namespace {

struct Chord {
  Point a, b;
  double length = 0;
  double along_a = 0, along_b = 0;
};

// The shortest way between two segments that do not meet.
Chord Between(Point a, Point b, Point c, Point d) {
  Chord best;
  best.length = 1e300;
  const auto offer = [&](Point p, Point q0, Point q1, bool swap) {
    const Point w = q1 - q0;
    const double t = std::clamp(Dot(p - q0, w) / std::max(Dot(w, w), 1e-300), 0.0, 1.0);
    const Point q = q0 + t * w;
    const double length = Norm(p - q);
    if (length < best.length) best = swap ? Chord{q, p, length, 0, 0} : Chord{p, q, length, 0, 0};
  };
  offer(a, c, d, false);
  offer(b, c, d, false);
  offer(c, a, b, true);
  offer(d, a, b, true);
  return best;
}

}  // namespace

Point PointAlong(std::span<const Point> outline, double along_mm) {
  const double length = Perimeter(outline);
  double s = std::fmod(along_mm, length);
  if (s < 0) s += length;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point step = outline[(i + 1) % outline.size()] - outline[i];
    const double edge = Norm(step);
    if (s <= edge) return outline[i] + (edge > 0 ? s / edge : 0) * step;
    s -= edge;
  }
  return outline[0];
}

std::vector<WeakPlace> FindWeakPlaces(std::span<const Point> outline,
                                      const TilingOptions& options) {
  std::vector<WeakPlace> found;
  const std::size_t n = outline.size();
  const double length = Perimeter(outline);
  const double area = std::abs(SignedArea(outline));
  const double side = SignedArea(outline) >= 0 ? 1 : -1;
  std::vector<double> start(n + 1, 0.0), swept(n + 1, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    start[i + 1] = start[i] + Norm(outline[(i + 1) % n] - outline[i]);
    swept[i + 1] = swept[i] + Cross(outline[i], outline[(i + 1) % n]) / 2;
  }

  const auto at = [&](double s) {
    s = std::fmod(s + length, length);
    const auto it = std::upper_bound(start.begin(), start.end() - 1, s);
    const auto e = static_cast<std::size_t>(it - start.begin()) - 1;
    const double edge = start[e + 1] - start[e];
    return outline[e] + ((s - start[e]) / edge) * (outline[(e + 1) % n] - outline[e]);
  };

  // Sharp points: the inner angle over 2 mm either way, so that a rounded tip counts too;
  // less where the tile is small.
  const double arm = std::min(2.0, length / 20);
  struct Tip {
    WeakPlace place;
    double along;
  };
  std::vector<Tip> tips;
  for (std::size_t i = 0; i < n; ++i) {
    const Point before = at(start[i] - arm) - outline[i];
    const Point after = at(start[i] + arm) - outline[i];
    double inner = std::atan2(side * Cross(after, before), Dot(after, before));
    if (inner < 0) inner += 2 * std::numbers::pi;
    if (inner >= options.point_rad) continue;
    tips.push_back({{WeakPlace::Kind::kPoint, outline[i], 0, inner}, start[i]});
  }
  std::sort(tips.begin(), tips.end(),
            [](const Tip& a, const Tip& b) { return a.place.angle_rad < b.place.angle_rad; });
  for (const Tip& t : tips) {
    const bool taken = std::any_of(found.begin(), found.end(), [&](const WeakPlace& w) {
      return Norm(w.at - t.place.at) < 2 * arm;
    });
    if (!taken) found.push_back(t.place);
  }

  // Necks: short chords inside the tile. What a chord of length d cuts off a tip of 25
  // degrees is 1.13 d^2 (d^2 / (4 tan 12.5)); a neck cuts off more.
  std::vector<Chord> necks;
  std::vector<std::size_t> order(n);
  for (std::size_t i = 0; i < n; ++i) order[i] = i;
  const auto left = [&](std::size_t e) { return std::min(outline[e].x, outline[(e + 1) % n].x); };
  const auto right = [&](std::size_t e) { return std::max(outline[e].x, outline[(e + 1) % n].x); };
  std::sort(order.begin(), order.end(), [&](auto a, auto b) { return left(a) < left(b); });
  for (std::size_t x = 0; x < n; ++x) {
    const std::size_t i = order[x];
    for (std::size_t y = x + 1; y < n && left(order[y]) < right(i) + options.neck_mm; ++y) {
      const std::size_t j = order[y];
      const Point a = outline[i], b = outline[(i + 1) % n];
      const Point c = outline[j], d = outline[(j + 1) % n];
      if (std::min(a.y, b.y) > std::max(c.y, d.y) + options.neck_mm ||
          std::min(c.y, d.y) > std::max(a.y, b.y) + options.neck_mm ||
          (i + 1) % n == j || (j + 1) % n == i) {
        continue;
      }
      Chord chord = Between(a, b, c, d);
      if (chord.length >= options.neck_mm) continue;
      chord.along_a = start[i] + Norm(chord.a - a);
      chord.along_b = start[j] + Norm(chord.b - c);
      // The area between the outline from one end to the other and the chord.
      const auto sweep = [&](std::size_t e, Point to) {
        return swept[e] + Cross(outline[e], to) / 2;
      };
      const bool forward = chord.along_a <= chord.along_b;
      const double from = forward ? sweep(i, chord.a) : sweep(j, chord.b);
      const double till = forward ? sweep(j, chord.b) : sweep(i, chord.a);
      const Point p = forward ? chord.a : chord.b, q = forward ? chord.b : chord.a;
      const double cut = side * (till - from + Cross(q, p) / 2);
      if (std::min(cut, area - cut) < 2.5 * chord.length * chord.length) continue;
      if (!Contains(outline, 0.5 * (chord.a + chord.b))) continue;
      necks.push_back(chord);
    }
  }
  std::sort(necks.begin(), necks.end(),
            [](const Chord& a, const Chord& b) { return a.length < b.length; });
  for (const Chord& c : necks) {
    const Point middle = 0.5 * (c.a + c.b);
    const bool taken = std::any_of(found.begin(), found.end(), [&](const WeakPlace& w) {
      return Norm(w.at - middle) < 3 * options.neck_mm;
    });
    if (!taken) found.push_back({WeakPlace::Kind::kNeck, middle, c.length, 0});
  }
  return found;
}

}  // namespace truepull
