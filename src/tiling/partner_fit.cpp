// SPDX-License-Identifier: Apache-2.0
#include "tiling/partner_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace truepull::tiling {
namespace {

// How far past its ends a stretch may look for its partner, and a split may move at once.
constexpr double kSlackShare = 0.03;  // Of the length: 6 mm on a 60 x 45 mm tile.
// A stretch that shrinks under this share of the length is left out: what remains is a
// corner that scissors rounded, and it would fit any move.
constexpr double kLeastShare = 0.015;

}  // namespace

Ring::Ring(std::span<const Point> outline, double step_mm) {
  const std::size_t n = outline.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Point a = outline[i], step = outline[(i + 1) % n] - a;
    const double edge = Norm(step);
    const int parts = std::max(1, static_cast<int>(std::ceil(edge / step_mm)));
    for (int k = 0; k < parts; ++k) {
      p.push_back(a + (static_cast<double>(k) / parts) * step);
      at.push_back(length + edge * k / parts);
    }
    length += edge;
  }
  at.push_back(length);
  side = SignedArea(outline) >= 0 ? 1 : -1;
}

double Ring::Wrap(double place) const {
  place = std::fmod(place, length);
  return place < 0 ? place + length : place;
}

Point Ring::At(double place) const {
  const double s = Wrap(place);
  const auto it = std::upper_bound(at.begin(), at.end() - 1, s);
  const auto i = static_cast<std::size_t>(it - at.begin()) - 1;
  const double edge = at[i + 1] - at[i];
  return p[i] + (edge > 0 ? (s - at[i]) / edge : 0) * (p[(i + 1) % p.size()] - p[i]);
}

PartnerFit::PartnerFit(const Splits& coarse, const Ring& ring) : half_turns_(coarse.half_turns) {
  for (std::size_t j = 0; j < 6; ++j) split_[j] = coarse.at[j] * ring.length;
  Solve(ring, true);
}

double PartnerFit::Sign(int stretch) const {
  return half_turns_ && stretch != 0 && stretch != 3 ? -1 : 1;
}

double PartnerFit::Coefficient(int stretch, int m) const {
  static constexpr double kShifts[6][3] = {{1, 0, 0},  {0, 1, 0},  {-1, 1, 0},
                                           {-1, 0, 0}, {0, -1, 0}, {1, -1, 0}};
  static constexpr double kTurns[6][3] = {{1, 0, 0},  {0, 1, 0}, {1, 1, 0},
                                          {-1, 0, 0}, {0, 0, 1}, {-1, 0, 1}};
  return (half_turns_ ? kTurns : kShifts)[stretch][m];
}

int PartnerFit::PartnerOf(int stretch) const {
  return half_turns_ && stretch != 0 && stretch != 3 ? stretch : (stretch + 3) % 6;
}

Point PartnerFit::Move(int stretch, Point p) const {
  Point to = Sign(stretch) * p;
  for (int m = 0; m < 3; ++m) to = to + Coefficient(stretch, m) * Theta(m);
  return to;
}

Point PartnerFit::MoveBack(int stretch, Point p) const {
  return Sign(stretch) * (p - Move(stretch, {0, 0}));
}

double PartnerFit::To(const Ring& ring, int stretch) const {
  return stretch < 5 ? split_[static_cast<std::size_t>(stretch) + 1] : split_[0] + ring.length;
}

bool PartnerFit::IsEmpty(const Ring& ring, int stretch) const {
  return To(ring, stretch) - From(stretch) < 1e-6 * ring.length;
}

Touch PartnerFit::TouchOf(const Ring& ring, int stretch, Point p, double slack) const {
  const int partner = PartnerOf(stretch);
  const double from = From(partner) - slack;
  const double span = std::min(To(ring, partner) + slack - from, ring.length);
  const Point x = Move(stretch, p);
  const std::size_t n = ring.p.size();
  const double start = ring.Wrap(from);
  auto i = static_cast<std::size_t>(
               std::upper_bound(ring.at.begin(), ring.at.end() - 1, start) - ring.at.begin()) -
           1;
  Touch best;
  best.distance = 1e300;
  double best2 = 1e300;
  Point along;
  for (double walked = ring.at[i] - start; walked < span;) {
    const Point a = ring.p[i], w = ring.p[(i + 1) % n] - a;
    const double ww = Dot(w, w);
    const double t = ww > 0 ? std::clamp(Dot(x - a, w) / ww, 0.0, 1.0) : 0;
    const Point q = a + t * w, d = x - q;
    const double d2 = Dot(d, d);
    if (d2 < best2) {
      best2 = d2;
      best.q = q;
      along = w;
    }
    walked += ring.at[i + 1] - ring.at[i];
    i = (i + 1) % n;
  }
  best.distance = std::sqrt(best2);
  const double edge = Norm(along);
  if (edge > 0) along = (1 / edge) * along;
  best.outward = {ring.side * along.y, -ring.side * along.x};
  best.signed_mm = Dot(x - best.q, best.outward) > 0 ? -best.distance : best.distance;
  return best;
}

void PartnerFit::Solve(const Ring& ring, bool first) {
  struct Row {
    int stretch;
    Point moved, q, normal;  // `moved` without the theta part.
    double length, miss;
  };
  std::vector<Row> rows;
  const std::size_t n = ring.p.size();
  for (int j = 0; j < 6; ++j) {
    const double from = From(j), to = To(ring, j);
    if (IsEmpty(ring, j)) continue;
    const int partner = PartnerOf(j);
    const double partner_from = From(partner), partner_to = To(ring, partner);
    for (std::size_t k = 0; k < n; ++k) {
      const double in = ring.Wrap(ring.at[k] - from);
      if (in >= to - from) continue;
      const double length = ring.at[k + 1] - ring.at[k];
      if (first) {
        // Before anything is known of the moves: the same share of the way.
        const double share = in / (to - from);
        const Point q = ring.At(partner_to - share * (partner_to - partner_from));
        rows.push_back({j, Sign(j) * ring.p[k], q, {}, length, 0});
      } else {
        const Touch t = TouchOf(ring, j, ring.p[k], 4 * LittleSlack(ring));
        rows.push_back({j, Sign(j) * ring.p[k], t.q, t.outward, length, t.distance});
      }
    }
  }
  if (rows.empty()) return;
  double scale = 1e300;
  if (!first) {
    std::vector<double> misses;
    for (const Row& r : rows) misses.push_back(r.miss);
    std::nth_element(misses.begin(), misses.begin() + static_cast<long>(misses.size() / 2),
                     misses.end());
    // 0.05 mm: where most of the outline fits better than that, nothing is gained by
    // doubting the rest more.
    scale = std::max(0.05, 2 * misses[misses.size() / 2]);
  }
  Eigen::Matrix<double, 6, 6> normal = Eigen::Matrix<double, 6, 6>::Zero();
  Eigen::Matrix<double, 6, 1> right = Eigen::Matrix<double, 6, 1>::Zero();
  const auto add = [&](const Row& r, Point direction, double weight) {
    Eigen::Matrix<double, 6, 1> row;
    for (int m = 0; m < 3; ++m) {
      row[2 * m] = Coefficient(r.stretch, m) * direction.x;
      row[2 * m + 1] = Coefficient(r.stretch, m) * direction.y;
    }
    normal += weight * row * row.transpose();
    right += weight * Dot(r.q - r.moved, direction) * row;
  };
  for (const Row& r : rows) {
    // Cauchy weights leave a fault where it is instead of spreading it over all sides.
    const double weight = r.length / (1 + (r.miss / scale) * (r.miss / scale));
    if (first) {
      add(r, {1, 0}, weight);
      add(r, {0, 1}, weight);
    } else {
      add(r, r.normal, weight);
      // A straight edge says nothing of sliding along it; a trace of the last place does.
      add(r, {-r.normal.y, r.normal.x}, 0.01 * weight);
    }
  }
  // Where the edges are nearly straight their ends say how far they slide. A split is known
  // to half a mm or so, hence the weight of a mm of edge.
  for (int j = 0; j < 6 && !first; ++j) {
    if (IsEmpty(ring, j)) continue;
    const int partner = PartnerOf(j);
    const std::array<std::pair<double, double>, 2> ends{{{From(j), To(ring, partner)},
                                                         {To(ring, j), From(partner)}}};
    for (const auto& [from, to] : ends) {
      const Row r{j, Sign(j) * ring.At(from), ring.At(to), {}, 1, 0};
      const double miss = Norm(Move(j, ring.At(from)) - r.q) / 0.5;
      add(r, {1, 0}, 1 / (1 + miss * miss));
      add(r, {0, 1}, 1 / (1 + miss * miss));
    }
  }
  // What no stretch speaks of (an empty one) stays where it is.
  for (int m = 0; m < 6; ++m) {
    normal(m, m) += 1e-9 * ring.length;
    const Point now = Theta(m / 2);
    right[m] += 1e-9 * ring.length * (m % 2 ? now.y : now.x);
  }
  const Eigen::Matrix<double, 6, 1> solved = normal.ldlt().solve(right);
  for (std::size_t m = 0; m < 3; ++m) {
    theta_[m] = {solved[static_cast<long>(2 * m)], solved[static_cast<long>(2 * m + 1)]};
  }
}

void PartnerFit::SplitAnew(const Ring& ring) {
  std::vector<int> full;
  for (int j = 0; j < 6; ++j) {
    if (!IsEmpty(ring, j)) full.push_back(j);
  }
  const std::size_t n = ring.p.size();
  std::array<double, 6> fresh = split_;
  for (std::size_t f = 0; f < full.size(); ++f) {
    const int j = full[f], next = full[(f + 1) % full.size()];
    const double split = To(ring, j), slack = kSlackShare * ring.length;
    const double lo = std::min(kSlackShare * ring.length, 0.45 * (To(ring, j) - From(j)));
    const double hi = std::min(kSlackShare * ring.length, 0.45 * (To(ring, next) - From(next)));
    std::vector<std::pair<double, double>> gains;  // Place, cost of `j` less that of `next`.
    for (std::size_t k = 0; k < n; ++k) {
      double away = ring.Wrap(ring.at[k] - split + lo) - lo;
      if (away > hi) continue;
      const double a = TouchOf(ring, j, ring.p[k], slack).distance;
      const double b = TouchOf(ring, next, ring.p[k], slack).distance;
      gains.push_back({away, (a * a - b * b) * (ring.at[k + 1] - ring.at[k])});
    }
    std::sort(gains.begin(), gains.end());
    double sum = 0, best = 0, where = gains.empty() ? 0 : gains[0].first;
    for (std::size_t g = 0; g < gains.size(); ++g) {
      sum += gains[g].second;
      // Of equal places the one nearest to the present.
      const double end = g + 1 < gains.size() ? gains[g + 1].first : gains[g].first;
      if (sum < best - 1e-12 || (sum <= best + 1e-12 && std::abs(end) < std::abs(where))) {
        best = std::min(best, sum);
        where = end;
      }
    }
    // Empty stretches between the two go along.
    for (int e = j + 1; e <= (next > j ? next : next + 6); ++e) {
      fresh[static_cast<std::size_t>(e % 6)] += where;
    }
  }
  split_ = fresh;
  for (std::size_t j = 0; j < 6; ++j) {
    if (half_turns_ ? j == 3 : j > 2) continue;
    const std::size_t partner = static_cast<std::size_t>(PartnerOf(static_cast<int>(j)));
    const auto shut = [&](std::size_t s) {
      const double from = From(static_cast<int>(s)), to = To(ring, static_cast<int>(s));
      const double middle = (from + to) / 2;
      // Stretches that are empty already lie at one of the two ends and go along.
      const double turn = std::abs(to - from) / 2 + 1e-9 * ring.length;
      for (std::size_t k = 0; k < 6; ++k) {
        for (const double round : {-ring.length, 0.0, ring.length}) {
          if (std::abs(split_[k] + round - middle) <= turn) split_[k] = middle - round;
        }
      }
    };
    const double length = To(ring, static_cast<int>(j)) - From(static_cast<int>(j));
    if (length > 0 && length < kLeastShare * ring.length && !IsEmpty(ring, static_cast<int>(j))) {
      shut(j);
      if (partner != j) shut(partner);
    }
  }
  // Places are relative to point 0; after a long move splits[0] may pass it.
  const double base = std::floor(split_[0] / ring.length) * ring.length;
  for (double& s : split_) s -= base;
}

void PartnerFit::Refine(const Ring& ring, int rounds) {
  for (int r = 0; r < rounds; ++r) {
    Solve(ring, false);
    SplitAnew(ring);
  }
  Solve(ring, false);
}

double PartnerFit::rms_mm(const Ring& ring, double most_mm) const {
  double sum = 0;
  for (int j = 0; j < 6; ++j) {
    for (std::size_t k = 0; k < ring.p.size(); ++k) {
      if (ring.Wrap(ring.at[k] - From(j)) >= To(ring, j) - From(j)) continue;
      const double d =
          std::min(most_mm, TouchOf(ring, j, ring.p[k], LittleSlack(ring)).distance);
      sum += d * d * (ring.at[k + 1] - ring.at[k]);
    }
  }
  return std::sqrt(sum / ring.length);
}

}  // namespace truepull::tiling
