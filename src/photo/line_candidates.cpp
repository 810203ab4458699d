// SPDX-License-Identifier: Apache-2.0
// Candidates for the sheet from straight steps of the right sign.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "photo/quad.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr int kAngles = 180;    // Bins of 2 degrees round the full circle (the step has a sign).
constexpr double kRhoPx = 2.0;  // A side bowed by the lens still falls into two or three bins.
constexpr std::size_t kLines = 30;
constexpr std::size_t kQuads = 24;

// The line dot(inward, p) = rho; `inward` points to the lighter side.
struct Line {
  double angle_rad = 0, rho = 0, votes = 0;
  Point inward;
};

std::vector<Line> StrongLines(const cv::Mat& plane) {
  const int w = plane.cols, h = plane.rows;
  const double reach = std::hypot(w, h);
  const int rhos = static_cast<int>(2 * reach / kRhoPx) + 3;
  std::vector<float> votes(static_cast<std::size_t>(kAngles * rhos), 0.0F);
  const auto cell = [&](int angle, int rho) -> float& {
    return votes[static_cast<std::size_t>(((angle + kAngles) % kAngles) * rhos + rho)];
  };
  for (int y = 1; y + 1 < h; ++y) {
    const unsigned char *up = plane.ptr(y - 1), *at = plane.ptr(y), *down = plane.ptr(y + 1);
    for (int x = 1; x + 1 < w; ++x) {
      const int gx = 2 * (at[x + 1] - at[x - 1]) + up[x + 1] - up[x - 1] + down[x + 1] - down[x - 1];
      const int gy = 2 * (down[x] - up[x]) + down[x - 1] - up[x - 1] + down[x + 1] - up[x + 1];
      const int square = gx * gx + gy * gy;
      if (square < 24 * 24) continue;  // 3 levels to the pixel.
      const double size = std::sqrt(static_cast<double>(square));
      double angle = std::atan2(gy, gx);
      if (angle < 0) angle += 2 * std::numbers::pi;
      const int bin = static_cast<int>(angle * kAngles / (2 * std::numbers::pi)) % kAngles;
      // The cap lets a faint side weigh nearly as much as a strong one.
      const float weight = static_cast<float>(std::min(size, 160.0));
      const double rho = (gx * x + gy * y) / size;
      cell(bin, static_cast<int>((rho + reach) / kRhoPx)) += weight;
    }
  }
  // Votes smoothed over neighbouring bins, then the highest peaks.
  std::vector<float> smooth(votes.size(), 0.0F);
  for (int a = 0; a < kAngles; ++a) {
    for (int r = 1; r + 1 < rhos; ++r) {
      float sum = 0;
      for (int da = -1; da <= 1; ++da) {
        const float side = cell(a + da, r - 1) + cell(a + da, r + 1);
        sum += (da == 0 ? 1.0F : 0.6F) * (cell(a + da, r) + 0.6F * side);
      }
      smooth[static_cast<std::size_t>(a * rhos + r)] = sum;
    }
  }
  std::vector<Line> lines;
  while (lines.size() < kLines) {
    const auto top = std::max_element(smooth.begin(), smooth.end());
    if (*top <= 0) break;
    const int index = static_cast<int>(top - smooth.begin());
    const int a = index / rhos, r = index % rhos;
    Line line;
    line.votes = *top;
    line.angle_rad = (a + 0.5) * 2 * std::numbers::pi / kAngles;
    line.rho = (r + 0.5) * kRhoPx - reach;
    line.inward = {std::cos(line.angle_rad), std::sin(line.angle_rad)};
    lines.push_back(line);
    for (int da = -3; da <= 3; ++da) {
      for (int dr = -4; dr <= 4; ++dr) {
        const int rr = r + dr;
        if (rr < 0 || rr >= rhos) continue;
        smooth[static_cast<std::size_t>(((a + da + kAngles) % kAngles) * rhos + rr)] = 0;
      }
    }
  }
  return lines;
}

bool Meet(const Line& a, const Line& b, Point* at) {
  const double cross = Cross(a.inward, b.inward);
  if (std::abs(cross) < 0.3) return false;
  *at = {(a.rho * b.inward.y - b.rho * a.inward.y) / cross,
         (b.rho * a.inward.x - a.rho * b.inward.x) / cross};
  return true;
}

}  // namespace

std::vector<Quad> QuadsFromLines(const cv::Mat& plane, double ratio) {
  std::vector<Line> lines = StrongLines(plane);
  std::sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) { return a.angle_rad < b.angle_rad; });
  const double margin = 0.06 * std::max(plane.cols, plane.rows);
  const auto near_picture = [&](Point p) {
    return p.x > -margin && p.y > -margin && p.x < plane.cols + margin && p.y < plane.rows + margin;
  };
  // The next side's normal is a quarter turn on, give or take perspective.
  const auto follows = [](const Line& a, const Line& b) {
    double turn = b.angle_rad - a.angle_rad;
    if (turn < 0) turn += 2 * std::numbers::pi;
    return turn > RadFromDeg(50) && turn < RadFromDeg(130);
  };
  struct Rated {
    double dense = 0, wide = 0;
    Quad quad;
  };
  std::vector<Rated> rated;
  const std::size_t n = lines.size();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      Point p1;
      if (!follows(lines[i], lines[j]) || !Meet(lines[i], lines[j], &p1) || !near_picture(p1)) continue;
      for (std::size_t k = j + 1; k < n; ++k) {
        Point p2;
        if (!follows(lines[j], lines[k]) || !Meet(lines[j], lines[k], &p2) || !near_picture(p2)) continue;
        for (std::size_t l = k + 1; l < n; ++l) {
          if (!follows(lines[k], lines[l]) || !follows(lines[l], lines[i])) continue;
          Point p3, p0;
          if (!Meet(lines[k], lines[l], &p3) || !near_picture(p3)) continue;
          if (!Meet(lines[l], lines[i], &p0) || !near_picture(p0)) continue;
          Rated one;
          one.quad = {p0, p1, p2, p3};
          if (!IsConvex(one.quad)) continue;
          const double area = QuadArea(one.quad);
          if (area < 0.06 * plane.cols * plane.rows) continue;
          const double u = Norm(p1 - p0) + Norm(p3 - p2), v = Norm(p2 - p1) + Norm(p0 - p3);
          // A tilted look shortens one direction; 30 % either way is left to the fit.
          if (std::abs(std::log(std::max(u, v) / std::min(u, v) / ratio)) > 0.3) continue;
          const double votes = lines[i].votes + lines[j].votes + lines[k].votes + lines[l].votes;
          one.dense = votes / std::sqrt(u + v);
          one.wide = votes * std::sqrt(u + v);
          rated.push_back(one);
        }
      }
    }
  }
  // Rows of tiles make strong lines too, and the sheet is the widest of what they make; on a
  // checked cloth the wide ones are the cloth's, and the sheet is the one with most votes to
  // its length. So the best of both orders.
  std::vector<Quad> quads;
  const std::size_t keep = std::min(kQuads / 2, rated.size());
  for (double Rated::*order : {&Rated::dense, &Rated::wide}) {
    std::partial_sort(rated.begin(),
                      rated.begin() + static_cast<std::ptrdiff_t>(keep),
                      rated.end(),
                      [order](const Rated& a, const Rated& b) { return a.*order > b.*order; });
    for (std::size_t i = 0; i < keep; ++i) quads.push_back(rated[i].quad);
  }
  return quads;
}

}  // namespace truepull
