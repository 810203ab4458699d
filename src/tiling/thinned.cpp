// SPDX-License-Identifier: Apache-2.0
#include "tiling/thinned.h"

#include <algorithm>
#include <utility>
#include <vector>

namespace truepull::tiling {

Outline Thinned(std::span<const Point> line, double tolerance) {
  std::vector<char> keep(line.size(), 0);
  keep.front() = keep.back() = 1;
  std::vector<std::pair<std::size_t, std::size_t>> todo{{0, line.size() - 1}};
  while (!todo.empty()) {
    const auto [a, b] = todo.back();
    todo.pop_back();
    double worst = tolerance;
    std::size_t where = 0;
    const Point w = line[b] - line[a];
    for (std::size_t i = a + 1; i < b; ++i) {
      const double ww = Dot(w, w);
      const double t = ww > 0 ? std::clamp(Dot(line[i] - line[a], w) / ww, 0.0, 1.0) : 0;
      const double off = Norm(line[i] - line[a] - t * w);
      if (off > worst) {
        worst = off;
        where = i;
      }
    }
    if (where == 0) continue;
    keep[where] = 1;
    todo.push_back({a, where});
    todo.push_back({where, b});
  }
  Outline thin;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (keep[i]) thin.push_back(line[i]);
  }
  return thin;
}

Outline ThinnedOutline(std::span<const Point> outline, double tolerance) {
  if (outline.size() < 4) return {outline.begin(), outline.end()};
  std::size_t far = 1;
  for (std::size_t i = 1; i < outline.size(); ++i) {
    if (Norm(outline[i] - outline[0]) > Norm(outline[far] - outline[0])) far = i;
  }
  Outline back(outline.begin() + static_cast<long>(far), outline.end());
  back.push_back(outline[0]);
  Outline thin = Thinned(outline.first(far + 1), tolerance);
  thin.pop_back();
  const Outline rest = Thinned(back, tolerance);
  thin.insert(thin.end(), rest.begin(), rest.end() - 1);
  return thin;
}

}  // namespace truepull::tiling
