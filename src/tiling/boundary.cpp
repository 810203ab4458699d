// SPDX-License-Identifier: Apache-2.0
#include "tiling/boundary.h"

#include <algorithm>
#include <cmath>

namespace truepull::tiling {

Boundary::Boundary(std::span<const Point> outline, double exact_mm) : exact_(exact_mm) {
  // A point is a corner when it stands off the line from the last corner to the next point.
  const std::size_t n = outline.size();
  const auto straight = [&](Point a, Point b, Point c) {
    const double chord = Norm(c - a);
    return chord > 0 && std::abs(Cross(b - a, c - a)) <= 1e-3 * exact_mm * chord &&
           Dot(b - a, c - b) > 0;
  };
  std::size_t first = 0;
  while (first < n && straight(outline[(first + n - 1) % n], outline[first],
                               outline[(first + 1) % n])) {
    ++first;
  }
  if (first == n) first = 0;
  for (std::size_t i = 0; i < first; ++i) offset_ += Norm(outline[i + 1] - outline[i]);
  for (std::size_t k = 0; k < n; ++k) {
    const Point here = outline[(first + k) % n], next = outline[(first + k + 1) % n];
    if (corners_.empty() || !straight(corners_.back(), here, next)) corners_.push_back(here);
  }
  const std::size_t m = corners_.size();
  place_.assign(m + 1, 0.0);
  direction_.resize(m);
  for (std::size_t i = 0; i < m; ++i) {
    const Point step = corners_[(i + 1) % m] - corners_[i];
    const double edge = Norm(step);
    place_[i + 1] = place_[i] + edge;
    direction_[i] = edge > 0 ? (1 / edge) * step : Point{1, 0};
  }
  length_ = place_[m];
}

double Boundary::Wrap(double place) const {
  if (place >= 0 && place < length_) return place;  // The usual case, without a division.
  if (place < 0 && place + length_ > 0) place += length_;
  place = std::fmod(place, length_);
  return place < 0 ? place + length_ : place;
}

Point Boundary::At(double place) const {
  const double s = Wrap(place);
  const std::size_t e = EdgeFrom(s, 1);
  return corners_[e] + (s - place_[e]) * direction_[e];
}

std::size_t Boundary::EdgeFrom(double place, int direction) const {
  const double s = Wrap(place);
  const auto it = std::upper_bound(place_.begin(), place_.end(), s);
  std::size_t e = it == place_.begin() ? 0 : static_cast<std::size_t>(it - place_.begin()) - 1;
  if (e >= size()) e = size() - 1;
  // Within rounding of a corner the walk starts on the edge it is about to enter.
  if (direction > 0 && place_[e + 1] - s < place_tolerance() / 2) e = (e + 1) % size();
  if (direction < 0 && s - place_[e] < place_tolerance() / 2) e = (e + size() - 1) % size();
  return e;
}

double Boundary::Agree(double a, int da, double b, int db, double sign, double limit) const {
  struct Walker {
    std::size_t edge;
    double left;  // Length left on this edge.
    int way;
  };
  const auto start = [&](double place, int way) {
    const double s = Wrap(place);
    const std::size_t e = EdgeFrom(s, way);
    double left = way > 0 ? place_[e + 1] - s : s - place_[e];
    if (left < -length_ / 2) left += length_;
    if (left > length_ / 2 && left > EdgeLength(e) + place_tolerance()) left -= length_;
    return Walker{e, std::min(left, EdgeLength(e)), way};
  };
  const auto next = [&](Walker& w) {
    const std::size_t m = size();
    w.edge = w.way > 0 ? (w.edge + 1) % m : (w.edge + m - 1) % m;
    w.left += EdgeLength(w.edge);
  };
  Walker u = start(a, da), v = start(b, db);
  double walked = 0;
  Point apart{};
  while (walked < limit) {
    const double step = std::min({u.left, v.left, limit - walked});
    const Point differ =
        static_cast<double>(da) * direction_[u.edge] - (sign * db) * direction_[v.edge];
    apart = apart + std::max(step, 0.0) * differ;
    if (Dot(apart, apart) > exact_ * exact_) break;
    walked += std::max(step, 0.0);
    u.left -= step;
    v.left -= step;
    // Corners of the two that differ by rounding only are passed together.
    if (u.left <= exact_) next(u);
    if (v.left <= exact_) next(v);
  }
  return walked;
}

}  // namespace truepull::tiling
