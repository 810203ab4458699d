// SPDX-License-Identifier: Apache-2.0
#include "tiling/split_search.h"

#include <algorithm>
#include <cmath>

namespace truepull::tiling {
namespace {

constexpr int kPoints = 132;  // About 1.5 mm apart on a 60 x 45 mm tile.
// A stretch is this many steps or none: a shorter one fits anything, a corner above all.
constexpr int kLeast = 3;

// Evenly spaced points of an outline about their mean.
std::vector<Point> Even(std::span<const Point> outline) {
  std::vector<Point> points;
  const double length = Perimeter(outline);
  std::size_t i = 0;
  double start = 0, edge = Norm(outline[1 % outline.size()] - outline[0]);
  for (int k = 0; k < kPoints; ++k) {
    const double s = length * k / kPoints;
    while (s > start + edge && i + 1 < outline.size()) {
      start += edge;
      ++i;
      edge = Norm(outline[(i + 1) % outline.size()] - outline[i]);
    }
    points.push_back(outline[i] + ((s - start) / edge) * (outline[(i + 1) % outline.size()] - outline[i]));
  }
  Point mean;
  for (const Point& p : points) mean = mean + (1.0 / kPoints) * p;
  for (Point& p : points) p = p - mean;
  return points;
}

// Running sums of p(s - k) -+ p(k) over k, for every s: the misfit of any stretch to any
// other walked backward, after the best shift (-) or half turn (+), in a few operations.
class Costs {
 public:
  Costs(const std::vector<Point>& p, double sign, double most)
      : most_(most), sums_(kPoints * (2 * kPoints + 1)) {
    for (int s = 0; s < kPoints; ++s) {
      Sum sum;
      for (int k = 0; k <= 2 * kPoints; ++k) {
        sums_[Index(s, k)] = sum;
        const Point d = p[Mod(s - k)] + sign * p[Mod(k)];
        sum.x += d.x;
        sum.y += d.y;
        sum.squares += Dot(d, d);
      }
    }
  }
  /// Stretch of `steps` steps from point `from`, its partner walked backward from `end`.
  double Of(int from, int steps, int end) const {
    if (steps == 0) return 0;
    const int s = Mod(from + end), k = Mod(from);
    const Sum &lo = sums_[Index(s, k)], &hi = sums_[Index(s, k + steps + 1)];
    const double x = hi.x - lo.x, y = hi.y - lo.y;
    const double misfit = hi.squares - lo.squares - (x * x + y * y) / (steps + 1);
    return std::clamp(misfit, 0.0, most_ * (steps + 1));
  }

 private:
  struct Sum {
    double x = 0, y = 0, squares = 0;
  };
  static int Mod(int k) { return ((k % kPoints) + kPoints) % kPoints; }
  static std::size_t Index(int s, int k) {
    return static_cast<std::size_t>(s) * (2 * kPoints + 1) + static_cast<std::size_t>(k);
  }
  double most_;
  std::vector<Sum> sums_;
};

struct Way {
  double cost = 1e300;
  std::array<int, 6> at{};
};

std::vector<Splits> Best(std::vector<Way> ways, bool half_turns, std::size_t most) {
  std::sort(ways.begin(), ways.end(), [](const Way& a, const Way& b) { return a.cost < b.cost; });
  std::vector<Splits> best;
  std::vector<std::array<int, 6>> taken;
  for (const Way& w : ways) {
    if (best.size() >= most || w.cost >= 1e299) break;
    std::array<int, 6> places{};
    for (std::size_t j = 0; j < 6; ++j) places[j] = w.at[j] % kPoints;
    std::sort(places.begin(), places.end());
    const bool alike = std::any_of(taken.begin(), taken.end(), [&](const auto& t) {
      for (std::size_t j = 0; j < 6; ++j) {
        if (std::abs(t[j] - places[j]) > 3) return false;
      }
      return true;
    });
    if (alike) continue;
    taken.push_back(places);
    Splits s;
    s.half_turns = half_turns;
    s.cost = w.cost;
    for (std::size_t j = 0; j < 6; ++j) s.at[j] = static_cast<double>(w.at[j]) / kPoints;
    best.push_back(s);
  }
  return best;
}

}  // namespace

std::vector<Splits> SearchShiftSplits(std::span<const Point> outline, std::size_t most,
                                      double most_squared_mm2) {
  const std::vector<Point> p = Even(outline);
  const Costs costs(p, -1, most_squared_mm2);
  constexpr int kHalf = kPoints / 2;
  // Stretch i..j meets (i..j) + half the length walked backward.
  const auto cost = [&](int i, int j) { return costs.Of(i, j - i, j + kHalf); };
  std::vector<Way> ways;
  for (int i = 0; i < kHalf; ++i) {
    for (int j = i + kLeast; j <= i + kHalf - kLeast; ++j) {
      const double first = cost(i, j);
      Way best;
      for (int k = j + kLeast; k <= i + kHalf; ++k) {
        if (k < i + kHalf && k > i + kHalf - kLeast) continue;
        const double total = first + cost(j, k) + cost(k, i + kHalf);
        if (total < best.cost) {
          best = {total, {i, j, k, i + kHalf, j + kHalf, k + kHalf}};
        }
      }
      ways.push_back(best);
    }
  }
  return Best(std::move(ways), false, most);
}

std::vector<Splits> SearchHalfTurnSplits(std::span<const Point> outline, std::size_t most,
                                      double most_squared_mm2) {
  const std::vector<Point> p = Even(outline);
  const Costs shift(p, -1, most_squared_mm2), turn(p, 1, most_squared_mm2);
  // Best two half-turned stretches from i over `span` steps, and where the first ends.
  std::vector<float> two(kPoints * (kPoints + 1));
  std::vector<int> split(two.size());
  const auto index = [](int i, int span) {
    return static_cast<std::size_t>(i % kPoints) * (kPoints + 1) + static_cast<std::size_t>(span);
  };
  std::vector<double> one(two.size());
  for (int i = 0; i < kPoints; ++i) {
    for (int d = 0; d <= kPoints; ++d) one[index(i, d)] = turn.Of(i, d, i + d);
  }
  for (int i = 0; i < kPoints; ++i) {
    for (int span = 0; span <= kPoints; ++span) {
      double best = one[index(i, span)];
      int where = span;
      for (int d = kLeast; d <= span - kLeast; ++d) {
        const double c = one[index(i, d)] + one[index(i + d, span - d)];
        if (c < best) {
          best = c;
          where = d;
        }
      }
      two[index(i, span)] = static_cast<float>(best);
      split[index(i, span)] = where;
    }
  }
  std::vector<Way> ways;
  for (int i = 0; i < kPoints; ++i) {
    Way without;
    for (int d = kLeast; d <= kPoints - kLeast; ++d) {
      const double c = two[index(i, d)] + two[index(i + d, kPoints - d)];
      if (c < without.cost) {
        const int b = split[index(i, d)], e = split[index(i + d, kPoints - d)];
        without = {c, {i, i, i + b, i + d, i + d, i + d + e}};
      }
    }
    ways.push_back(without);
    for (int to = 3 * kLeast; to <= kPoints - kLeast; ++to) {  // A' ends `to` steps on.
      const double rest = two[index(i + to, kPoints - to)];
      Way with;
      for (int a = kLeast; 2 * a <= to - kLeast; ++a) {
        const double c = rest + shift.Of(i, a, i + to) + two[index(i + a, to - 2 * a)];
        if (c < with.cost) {
          const int b = split[index(i + a, to - 2 * a)], e = split[index(i + to, kPoints - to)];
          with = {c, {i, i + a, i + a + b, i + to - a, i + to, i + to + e}};
        }
      }
      ways.push_back(with);
    }
  }
  return Best(std::move(ways), true, most);
}

}  // namespace truepull::tiling
