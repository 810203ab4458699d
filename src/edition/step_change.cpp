// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <random>

#include "truepull/run_chart.h"

namespace truepull {
namespace {

struct Split {
  std::size_t after = 0;
  double gain = 0;  // Monotone in T-squared: ln of total over within determinant.
};

// The split of n points that leaves the least scatter (Wilks's lambda) within the sides.
// `gains`, when given, gets every split's gain.
Split BestSplit(std::span<const Point> v, std::size_t least, std::vector<double>* gains = nullptr) {
  const std::size_t n = v.size();
  double sx = 0, sy = 0, xx = 0, xy = 0, yy = 0;
  for (const Point& p : v) sx += p.x, sy += p.y, xx += p.x * p.x, xy += p.x * p.y, yy += p.y * p.y;
  const auto all = static_cast<double>(n);
  const double txx = xx - sx * sx / all, txy = xy - sx * sy / all, tyy = yy - sy * sy / all;
  // A series in one direction only still has a determinant: a millionth of its scatter.
  const double ridge = 1e-6 * (txx + tyy) + 1e-12;
  const double total = (txx + ridge) * (tyy + ridge) - txy * txy;
  Split best;
  double ax = 0, ay = 0;
  for (std::size_t i = 0; i + least < n; ++i) {
    ax += v[i].x, ay += v[i].y;
    if (i + 1 < least) continue;
    const auto left = static_cast<double>(i + 1), right = all - left;
    // Between-sides scatter is of rank one along d.
    const double dx = ax / left - (sx - ax) / right, dy = ay / left - (sy - ay) / right;
    const double f = left * right / all;
    const double wxx = txx - f * dx * dx + ridge, wxy = txy - f * dx * dy, wyy = tyy - f * dy * dy + ridge;
    const double gain = std::log(total / std::max(wxx * wyy - wxy * wxy, 1e-300));
    if (gains != nullptr) gains->push_back(gain);
    if (gain > best.gain) best = {i, gain};
  }
  return best;
}

void Search(std::span<const Point> series, std::size_t offset, const StepOptions& options, std::vector<StepChange>& out) {
  auto step = LikeliestStep(series, options);
  if (!step || step->p >= options.level) return;
  const std::size_t cut = step->after + 1;
  step->after += offset, step->first += offset, step->last += offset;
  Search(series.subspan(0, cut), offset, options, out);
  out.push_back(*step);
  Search(series.subspan(cut), offset + cut, options, out);
}

}  // namespace

std::optional<StepChange> LikeliestStep(std::span<const Point> series, const StepOptions& options) {
  const std::size_t n = series.size(), least = std::max<std::size_t>(2, options.least_side);
  if (n < 6 || n < 2 * least) return std::nullopt;
  std::vector<double> gains;
  const Split best = BestSplit(series, least, &gains);
  StepChange out;
  out.after = out.first = out.last = best.after;
  // Splits whose likelihood is within a factor e^2 of the best: n / 2 x gain is its log.
  for (std::size_t i = 0; i < gains.size(); ++i) {
    if (static_cast<double>(n) / 2 * (best.gain - gains[i]) > 2) continue;
    out.first = std::min(out.first, i + least - 1);
    out.last = std::max(out.last, i + least - 1);
  }
  const auto mean = [&](std::size_t from, std::size_t to) {
    Point sum;
    for (std::size_t i = from; i < to; ++i) sum = sum + series[i];
    return (1.0 / static_cast<double>(to - from)) * sum;
  };
  out.before = mean(0, best.after + 1), out.behind = mean(best.after + 1, n);
  std::vector<Point> shuffled(series.begin(), series.end());
  std::mt19937_64 random(options.seed);
  int as_large = 0;
  for (int k = 0; k < options.shuffles; ++k) {
    for (std::size_t i = n - 1; i > 0; --i) {  // Fisher and Yates; std::shuffle is not the same everywhere.
      std::swap(shuffled[i], shuffled[random() % (i + 1)]);
    }
    as_large += BestSplit(shuffled, least).gain >= best.gain - 1e-12 ? 1 : 0;
  }
  out.p = (1.0 + as_large) / (1.0 + options.shuffles);
  return out;
}

std::vector<StepChange> Steps(std::span<const Point> series, const StepOptions& options) {
  std::vector<StepChange> out;
  Search(series, 0, options, out);
  return out;
}

}  // namespace truepull
