// SPDX-License-Identifier: Apache-2.0
#include "photo/side_pattern.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

// A row of colours less its running median. Paper's colour changes slowly along its rim, or
// at once where a shadow falls, and the median follows both; what comes and goes is left.
std::vector<Colour> Changes(const std::vector<Colour>& row, std::size_t reach) {
  const std::size_t n = row.size();
  std::vector<Colour> changes(n);
  std::vector<double> l, a, b;
  for (std::size_t i = 0; i < n; ++i) {
    l.clear(), a.clear(), b.clear();
    for (std::size_t k = i - std::min(i, reach); k < std::min(n, i + reach + 1); ++k) {
      l.push_back(row[k].l), a.push_back(row[k].a), b.push_back(row[k].b);
    }
    changes[i] = {row[i].l - MedianOf(l), row[i].a - MedianOf(a), row[i].b - MedianOf(b), 0};
  }
  return changes;
}

}  // namespace

bool ColourAt(const SmallPicture& small, Point p, Colour* colour) {
  const int x = static_cast<int>(std::floor(p.x)), y = static_cast<int>(std::floor(p.y));
  if (x < 0 || y < 0 || x + 1 >= small.lab.cols || y + 1 >= small.lab.rows) return false;
  const double fx = p.x - x, fy = p.y - y;
  const double w[4] = {(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy};
  *colour = {};
  for (int i = 0; i < 4; ++i) {
    const int xx = x + i % 2, yy = y + i / 2;
    const cv::Vec3b& lab = small.lab.ptr<cv::Vec3b>(yy)[xx];
    colour->l += w[i] * lab[0];
    colour->a += w[i] * lab[1];
    colour->b += w[i] * lab[2];
    colour->white += w[i] * small.white.ptr(yy)[xx];
  }
  return true;
}

double MedianOf(std::span<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

double Unrest(const std::vector<Colour>& rim, const std::vector<Colour>& beyond) {
  if (rim.size() < 8) return 0;
  constexpr double kUnlike = 9;  // Lab levels; mottle and finger marks stay under it.
  // Most rims of paper change so little that there is nothing to look for.
  const auto [dark, light] = std::minmax_element(rim.begin(), rim.end(), [](const Colour& p, const Colour& q) { return p.white < q.white; });
  if (light->white - dark->white < kUnlike) return 0;
  // Two windows, for a pattern whose period suits the one may hide its changes from it.
  const std::size_t n = rim.size();
  double most = 0;
  for (const std::size_t reach : {std::max<std::size_t>(4, n / 6), std::max<std::size_t>(3, n / 9)}) {
    const std::vector<Colour> in = Changes(rim, reach), out = Changes(beyond, reach);
    double unlike = 0, both = 0, squares_in = 0, squares_out = 0;
    const auto dot = [](const Colour& p, const Colour& q) { return p.l * q.l + p.a * q.a + p.b * q.b; };
    for (std::size_t i = 0; i < n; ++i) {
      if (dot(in[i], in[i]) > kUnlike * kUnlike) unlike += 1 / double(n);
      both += dot(in[i], out[i]);
      squares_in += dot(in[i], in[i]);
      squares_out += dot(out[i], out[i]);
    }
    // Two patterns that have nothing to do with each other agree by up to 0.3 by chance.
    const double alike = both / (std::sqrt(squares_in * squares_out) + 1e-9);
    most = std::max(most, unlike * std::clamp((alike - 0.3) / 0.4, 0.0, 1.0));
  }
  return most;
}

}  // namespace truepull
