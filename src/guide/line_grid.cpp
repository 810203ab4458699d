// SPDX-License-Identifier: Apache-2.0
#include "guide/line_grid.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr double kSquareMm = 8;  // A few lines in each on the densest sheets.

// Calls `visit` with the key of every square that the line's box, grown, touches.
template <typename Visit>
void ForSquares(const Segment& s, double grow, Visit visit) {
  const auto whole = [](double v) { return static_cast<std::int64_t>(std::floor(v / kSquareMm)); };
  const auto left = whole(std::min(s.a.x, s.b.x) - grow), right = whole(std::max(s.a.x, s.b.x) + grow);
  const auto top = whole(std::min(s.a.y, s.b.y) - grow), bottom = whole(std::max(s.a.y, s.b.y) + grow);
  for (auto y = top; y <= bottom; ++y) {
    for (auto x = left; x <= right; ++x) visit(y * 1000003 + x);
  }
}

}  // namespace

void LineGrid::Add(const Segment& line, int owner) {
  // Long slanting lines would fill squares they never cross.
  const double length = Norm(line.b - line.a);
  const int parts = std::max(1, static_cast<int>(length / (2 * kSquareMm)));
  for (int i = 0; i < parts; ++i) {
    const Segment part{line.a + (static_cast<double>(i) / parts) * (line.b - line.a),
                       line.a + (static_cast<double>(i + 1) / parts) * (line.b - line.a)};
    ForSquares(part, 0, [&](std::int64_t key) { squares_[key].push_back(lines_.size()); });
    lines_.push_back({part, owner});
  }
}

double LineGrid::Distance(const Segment& line, int owner, double most_mm) const {
  double least = most_mm;
  ForSquares(line, most_mm, [&](std::int64_t key) {
    const auto it = squares_.find(key);
    if (it == squares_.end()) return;
    for (const std::size_t k : it->second) {
      if (lines_[k].owner != owner) least = std::min(least, truepull::Distance(line, lines_[k].line));
    }
  });
  return least;
}

}  // namespace truepull
