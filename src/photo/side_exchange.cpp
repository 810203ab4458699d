// SPDX-License-Identifier: Apache-2.0
#include "photo/side_exchange.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr std::size_t kBases = 3;       // Candidates that exchange sides.
constexpr std::size_t kAlternatives = 3;  // For each of their sides.
constexpr double kMostTurn = 0.2;       // Sine of the angle between a side and another for it.
constexpr double kLeastGapPx = 4;       // Nearer ones are found from the same start.
constexpr double kMostGapShare = 0.25;  // Of the side's length.
constexpr double kLeastQuality = 0.4;

// How much of a side looks like paper's edge.
double Quality(const SeenSide& side) {
  if (side.outside > 0.5) return 0;
  return side.support * (1 - side.outshone) * std::max(0.0, 1 - 1.5 * side.unrest);
}

struct Option {
  std::array<Point, 2> chord{};
  double quality = 0;
};

// The greatest distance of a chord's ends from another chord's line.
double Gap(const std::array<Point, 2>& a, const std::array<Point, 2>& b) {
  const Point along = (1 / Norm(b[1] - b[0])) * (b[1] - b[0]);
  return std::max(std::abs(Cross(along, a[0] - b[0])), std::abs(Cross(along, a[1] - b[0])));
}

// A side's own line and the best others that run alike, the own one first.
std::vector<Option> Options(const std::vector<SeenSheet>& seen, const SeenSide& own) {
  std::vector<Option> options{{own.chord, Quality(own)}};
  const Point line = own.chord[1] - own.chord[0];
  std::vector<Option> others;
  for (const SeenSheet& sheet : seen) {
    for (const SeenSide& side : sheet.sides) {
      const Point other = side.chord[1] - side.chord[0];
      const double quality = Quality(side), lengths = Norm(line) * Norm(other);
      if (quality < kLeastQuality || lengths <= 0 || Dot(line, other) <= 0) continue;
      if (std::abs(Cross(line, other)) > kMostTurn * lengths) continue;
      const double gap = Gap(own.chord, side.chord);
      if (gap < kLeastGapPx || gap > kMostGapShare * Norm(line)) continue;
      others.push_back({side.chord, quality});
    }
  }
  std::stable_sort(others.begin(), others.end(), [](const Option& a, const Option& b) { return a.quality > b.quality; });
  for (const Option& other : others) {
    if (options.size() > kAlternatives) break;
    const bool new_one = std::none_of(options.begin(), options.end(),
                                      [&](const Option& o) { return Gap(other.chord, o.chord) < kLeastGapPx; });
    if (new_one) options.push_back(other);
  }
  return options;
}

}  // namespace

std::vector<Quad> QuadsByExchange(const std::vector<SeenSheet>& seen, std::size_t most) {
  struct Rated {
    double quality = 0;
    std::size_t index = 0;
  };
  const auto likelier = [](const Rated& a, const Rated& b) { return a.quality > b.quality; };
  std::vector<Rated> bases;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    double sum = 0;
    for (const SeenSide& side : seen[i].sides) sum += Quality(side);
    if (IsConvex(seen[i].quad)) bases.push_back({sum * std::pow(QuadArea(seen[i].quad), 0.15), i});
  }
  std::stable_sort(bases.begin(), bases.end(), likelier);
  if (bases.size() > kBases) bases.resize(kBases);

  std::vector<Quad> quads;
  std::vector<Rated> rated;
  for (const Rated& base : bases) {
    std::array<std::vector<Option>, 4> options;
    for (std::size_t s = 0; s < 4; ++s) options[s] = Options(seen, seen[base.index].sides[s]);
    std::array<std::size_t, 4> pick{};
    const auto next = [&] {
      for (std::size_t s = 0; s < 4; ++s) {
        if (++pick[s] < options[s].size()) return true;
        pick[s] = 0;
      }
      return false;
    };
    while (next()) {
      Quad quad;
      double least = 1, sum = 0;
      bool meet = true;
      for (std::size_t s = 0; s < 4; ++s) {
        const Option &before = options[Before(s)][pick[Before(s)]], &after = options[s][pick[s]];
        meet = meet && MeetingPoint(before.chord[0], before.chord[1], after.chord[0], after.chord[1], &quad[s]);
        least = std::min(least, after.quality);
        sum += after.quality / 4;
      }
      if (!meet || !IsConvex(quad)) continue;
      rated.push_back({std::sqrt(least * sum) * std::pow(QuadArea(quad), 0.15), quads.size()});
      quads.push_back(quad);
    }
  }
  std::stable_sort(rated.begin(), rated.end(), likelier);
  if (rated.size() > most) rated.resize(most);
  std::vector<Quad> best;
  for (const Rated& one : rated) best.push_back(quads[one.index]);
  return best;
}

}  // namespace truepull
