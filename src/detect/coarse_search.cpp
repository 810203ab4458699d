// SPDX-License-Identifier: Apache-2.0
#include "detect/coarse_search.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace truepull::detect {
namespace {

// Where the score looks, mm inwards from the outline. A rubbed or drawn edge is about
// 2 mm wide, so its middle lies 1 mm in and the body is clear of it 4 mm in.
constexpr double kBand = 1.0, kBody = 4.0, kOutside = -1.3;
constexpr double kBodyWeight = 0.6, kOutsideWeight = 0.4;

}  // namespace

OutlineScore::OutlineScore(const SheetMap& map, double blur_mm) : px_per_mm_(map.px_per_mm) {
  cv::Mat capped;
  // Very dark places must not outvote the rest of the outline.
  cv::min(map.density, 1.6, capped);
  cv::GaussianBlur(capped, blurred_, cv::Size(), blur_mm * px_per_mm_);
}

float OutlineScore::Density(double x_mm, double y_mm) const {
  const double u = x_mm * px_per_mm_ - 0.5, v = y_mm * px_per_mm_ - 0.5;
  if (!(u >= 0 && v >= 0 && u < blurred_.cols - 1 && v < blurred_.rows - 1)) return 0;
  const int i = static_cast<int>(u), j = static_cast<int>(v);
  const auto a = static_cast<float>(u - i), b = static_cast<float>(v - j);
  const float* p = blurred_.ptr<float>(j) + i;
  const float* q = blurred_.ptr<float>(j + 1) + i;
  const float top = p[0] + a * (p[1] - p[0]), bottom = q[0] + a * (q[1] - q[0]);
  return top + b * (bottom - top);
}

double OutlineScore::At(const PlateShape& shape, const Pose& pose) const {
  const Rotation turn(pose.turn_rad);
  double sum = 0;
  for (const EdgeSample& e : shape.sparse) {
    const Point p = pose.at + turn * e.at, n = turn * e.outward;
    const double band = static_cast<double>(Density(p.x - kBand * n.x, p.y - kBand * n.y));
    const double body = static_cast<double>(Density(p.x - kBody * n.x, p.y - kBody * n.y));
    const double outside = static_cast<double>(Density(p.x - kOutside * n.x, p.y - kOutside * n.y));
    sum += kBodyWeight * (band - body) + kOutsideWeight * (band - outside);
  }
  return sum / static_cast<double>(shape.sparse.size());
}

double OutlineScore::InsideDensity(const PlateShape& shape, const Pose& pose) const {
  const Rotation turn(pose.turn_rad);
  double sum = 0;
  std::size_t n = 0;
  for (std::size_t i = 0; i < shape.inside.size(); i += 3, ++n) {
    const Point p = pose.at + turn * shape.inside[i];
    sum += static_cast<double>(Density(p.x, p.y));
  }
  return n > 0 ? sum / static_cast<double>(n) : 0;
}

Candidate OutlineScore::Climb(const PlateShape& shape, Pose start) const {
  Candidate best{start, At(shape, start)};
  double step = 1.0, turn_step = RadFromDeg(1.0);
  for (int round = 0; round < 40 && step > 0.15; ++round) {
    const Candidate before = best;
    for (int axis = 0; axis < 3; ++axis) {
      for (const double sign : {1.0, -1.0}) {
        Pose p = best.pose;
        if (axis == 0) p.at.x += sign * step;
        if (axis == 1) p.at.y += sign * step;
        if (axis == 2) p.turn_rad += sign * turn_step;
        const double s = At(shape, p);
        if (s > best.score) best = {p, s};
      }
    }
    if (best.score <= before.score) {
      step /= 2;
      turn_step /= 2;
    }
  }
  return best;
}

std::vector<Candidate> OutlineScore::Search(const PlateShape& shape, const Pose& ideal,
                                            const SearchWindow& window, std::size_t most) const {
  const double grid = 1.5;
  const double turn_grid = std::clamp(grid / std::max(5.0, shape.radius * 0.8), RadFromDeg(1.5), RadFromDeg(5.0));
  const int half = static_cast<int>(std::ceil(window.reach_mm / grid));
  const int turns = static_cast<int>(std::ceil(window.reach_turn_rad / turn_grid));
  const std::size_t n = shape.sparse.size();
  std::vector<Candidate> raw;
  std::vector<int> offset(3 * n);
  const int stride = static_cast<int>(blurred_.step1());
  std::vector<float> plane(static_cast<std::size_t>((2 * half + 1) * (2 * half + 1)));
  const double reach = shape.radius + std::abs(kBand) + std::abs(kOutside) + 1;
  for (int t = -turns; t <= turns; ++t) {
    const double turn_rad = ideal.turn_rad + t * turn_grid;
    const Rotation turn(turn_rad);
    for (std::size_t k = 0; k < n; ++k) {
      const Point p = turn * shape.sparse[k].at, m = turn * shape.sparse[k].outward;
      const auto put = [&](std::size_t slot, double inwards) {
        const int du = static_cast<int>(std::lround((p.x - inwards * m.x) * px_per_mm_));
        const int dv = static_cast<int>(std::lround((p.y - inwards * m.y) * px_per_mm_));
        offset[3 * k + slot] = dv * stride + du;
      };
      put(0, kBand);
      put(1, kBody);
      put(2, kOutside);
    }
    for (int j = -half; j <= half; ++j) {
      for (int i = -half; i <= half; ++i) {
        float& out = plane[static_cast<std::size_t>((j + half) * (2 * half + 1) + i + half)];
        const Point at{ideal.at.x + i * grid, ideal.at.y + j * grid};
        const int u = static_cast<int>(std::lround(at.x * px_per_mm_ - 0.5));
        const int v = static_cast<int>(std::lround(at.y * px_per_mm_ - 0.5));
        const double reach_px = reach * px_per_mm_;
        if (u - reach_px < 0 || v - reach_px < 0 || u + reach_px >= blurred_.cols || v + reach_px >= blurred_.rows) {
          out = static_cast<float>(At(shape, {at, turn_rad}));  // Near the rim: the careful way.
          continue;
        }
        const float* base = blurred_.ptr<float>(v) + u;
        float sum = 0;
        for (std::size_t k = 0; k < n; ++k) {
          const float band = base[offset[3 * k]];
          sum += band - static_cast<float>(kBodyWeight) * base[offset[3 * k + 1]] -
                 static_cast<float>(kOutsideWeight) * base[offset[3 * k + 2]];
        }
        out = sum / static_cast<float>(n);
      }
    }
    const auto value = [&](int i, int j) { return plane[static_cast<std::size_t>((j + half) * (2 * half + 1) + i + half)]; };
    for (int j = -half; j <= half; ++j) {
      for (int i = -half; i <= half; ++i) {
        const float s = value(i, j);
        bool peak = true;
        for (int dj = -1; dj <= 1 && peak; ++dj) {
          for (int di = -1; di <= 1 && peak; ++di) {
            if (std::abs(i + di) <= half && std::abs(j + dj) <= half && value(i + di, j + dj) > s) peak = false;
          }
        }
        if (peak) {
          // A mild pull towards the ideal place, only to rank what to refine.
          const double prior = 0.10 * (i * i + j * j) * grid * grid / (window.reach_mm * window.reach_mm) +
                               0.05 * t * t * turn_grid * turn_grid / (window.reach_turn_rad * window.reach_turn_rad);
          raw.push_back({{{ideal.at.x + i * grid, ideal.at.y + j * grid}, turn_rad}, static_cast<double>(s) - prior});
        }
      }
    }
  }
  std::sort(raw.begin(), raw.end(), [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
  std::vector<Candidate> best;
  for (const Candidate& c : raw) {
    if (best.size() >= most) break;
    const bool near = std::any_of(best.begin(), best.end(), [&](const Candidate& b) {
      return Norm(b.pose.at - c.pose.at) < 2.5 && std::abs(WrapTurn(b.pose.turn_rad - c.pose.turn_rad)) < RadFromDeg(6);
    });
    if (!near) best.push_back(c);
  }
  for (Candidate& c : best) c = Climb(shape, c.pose);
  std::sort(best.begin(), best.end(), [](const Candidate& a, const Candidate& b) { return a.score > b.score; });
  return best;
}

std::vector<std::size_t> ChooseCandidates(const std::vector<std::vector<Candidate>>& candidates,
                                          const std::vector<Pose>& ideal,
                                          const std::vector<char>& usable) {
  const std::size_t n = candidates.size();
  std::vector<std::size_t> chosen(n, 0);
  // Plane through the drift: (dx, dy) = a + B (ideal - mean); starts at zero drift.
  Eigen::Matrix<double, 3, 2> plane = Eigen::Matrix<double, 3, 2>::Zero();
  Point mean;
  double count = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (!usable[i] || candidates[i].empty()) continue;
    mean = mean + ideal[i].at;
    count += 1;
  }
  if (count == 0) return chosen;
  mean = (1 / count) * mean;
  const auto predict = [&](std::size_t i) {
    const Eigen::RowVector3d t(1, (ideal[i].at.x - mean.x) / 100, (ideal[i].at.y - mean.y) / 100);
    const Eigen::RowVector2d d = t * plane;
    return Point{d(0), d(1)};
  };
  for (int round = 0; round < 6; ++round) {
    // Loss per mm^2 off the plane; a full band is worth about 0.5 in score.
    const double spread = round < 2 ? 8.0 : 4.0;
    for (std::size_t i = 0; i < n; ++i) {
      if (!usable[i]) continue;
      double best = -1e9;
      for (std::size_t k = 0; k < candidates[i].size(); ++k) {
        const Pose& p = candidates[i][k].pose;
        const Point off = p.at - ideal[i].at - predict(i);
        const double turn = WrapTurn(p.turn_rad - ideal[i].turn_rad) / RadFromDeg(5);
        const double far2 = Dot(off, off) / (spread * spread) + turn * turn;
        const double value = candidates[i][k].score - 0.10 * std::min(far2, 9.0);
        if (value > best) {
          best = value;
          chosen[i] = k;
        }
      }
    }
    // Robust plane through the chosen ones (Cauchy weights), with a weak pull to zero.
    for (int inner = 0; inner < 5; ++inner) {
      Eigen::Matrix3d a = Eigen::Vector3d(0.02, 0.5, 0.5).asDiagonal();
      Eigen::Matrix<double, 3, 2> b = Eigen::Matrix<double, 3, 2>::Zero();
      for (std::size_t i = 0; i < n; ++i) {
        if (!usable[i] || candidates[i].empty()) continue;
        const Point d = candidates[i][chosen[i]].pose.at - ideal[i].at;
        const Point off = d - predict(i);
        const double scale = inner == 0 && round == 0 ? 6.0 : 2.0;
        const double w = std::max(0.05, candidates[i][chosen[i]].score) / (1 + Dot(off, off) / (scale * scale));
        const Eigen::Vector3d t(1, (ideal[i].at.x - mean.x) / 100, (ideal[i].at.y - mean.y) / 100);
        a += w * t * t.transpose();
        b += w * t * Eigen::RowVector2d(d.x, d.y);
      }
      plane = a.ldlt().solve(b);
    }
  }
  return chosen;
}

}  // namespace truepull::detect
