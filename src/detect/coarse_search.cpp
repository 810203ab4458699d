// SPDX-License-Identifier: Apache-2.0
#include "detect/coarse_search.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>

namespace truepull::detect {
namespace {

// Where the score looks, mm inwards from the outline. A rubbed or drawn edge is about
// 2 mm wide, so its middle lies 1 mm in and the body is clear of it 4 mm in.
constexpr double kBand = 1.0, kBody = 4.0, kOutside = -1.3;
constexpr double kRimMm = 60;           // Bare table round the map for scans.
constexpr double kBodyWeight = 0.6, kOutsideWeight = 0.4;

}  // namespace

OutlineScore::OutlineScore(const SheetMap& map, double blur_mm) : sharp_(map.density), px_per_mm_(map.px_per_mm) {
  cv::Mat capped;
  // Very dark places must not outvote the rest of the outline.
  cv::min(map.density, 1.6, capped);
  cv::GaussianBlur(capped, blurred_, cv::Size(), blur_mm * px_per_mm_);
  const int rim = static_cast<int>(kRimMm * px_per_mm_);
  cv::copyMakeBorder(blurred_, wide_, rim, rim, rim, rim, cv::BORDER_CONSTANT, cv::Scalar(0));
}

float OutlineScore::Density(const cv::Mat& map, double x_mm, double y_mm) const {
  const double u = x_mm * px_per_mm_ - 0.5, v = y_mm * px_per_mm_ - 0.5;
  if (!(u >= 0 && v >= 0 && u < map.cols - 1 && v < map.rows - 1)) return 0;
  const int i = static_cast<int>(u), j = static_cast<int>(v);
  const auto a = static_cast<float>(u - i), b = static_cast<float>(v - j);
  const float* p = map.ptr<float>(j) + i;
  const float* q = map.ptr<float>(j + 1) + i;
  const float top = p[0] + a * (p[1] - p[0]), bottom = q[0] + a * (q[1] - q[0]);
  return top + b * (bottom - top);
}

double OutlineScore::At(const PlateShape& shape, const Pose& pose) const {
  const Rotation turn(pose.turn_rad);
  double sum = 0;
  for (const EdgeSample& e : shape.sparse) {
    const Point p = pose.at + turn * e.at, n = turn * e.outward;
    const double band = static_cast<double>(Density(blurred_, p.x - kBand * n.x, p.y - kBand * n.y));
    const double body = static_cast<double>(Density(blurred_, p.x - kBody * n.x, p.y - kBody * n.y));
    const double outside = static_cast<double>(Density(blurred_, p.x - kOutside * n.x, p.y - kOutside * n.y));
    sum += kBodyWeight * (band - body) + kOutsideWeight * (band - outside);
  }
  return sum / static_cast<double>(shape.sparse.size());
}

double OutlineScore::HeartCoverage(const PlateShape& shape, const Pose& pose, double ink_density) const {
  const Rotation turn(pose.turn_rad);
  const float deep = 0.4f * (shape.inside_depth.empty() ? 0 : *std::max_element(shape.inside_depth.begin(), shape.inside_depth.end()));
  double inked = 0, all = 0;
  for (std::size_t i = 0; i < shape.inside.size(); ++i) {
    if (shape.inside_depth[i] < deep) continue;
    const Point p = pose.at + turn * shape.inside[i];
    inked += static_cast<double>(Density(sharp_, p.x, p.y)) > ink_density ? 1 : 0;
    all += 1;
  }
  return all > 0 ? inked / all : 0;
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

SiteScan OutlineScore::Scan(const PlateShape& shape, const Pose& ideal, const SearchWindow& window) const {
  SiteScan scan;
  scan.ideal = ideal;
  scan.turn_grid_rad = std::clamp(scan.grid_mm / std::max(5.0, shape.radius * 0.8), RadFromDeg(1.5), RadFromDeg(5.0));
  scan.half = static_cast<int>(std::ceil(window.reach_mm / scan.grid_mm));
  scan.turns = static_cast<int>(std::ceil(window.reach_turn_rad / scan.turn_grid_rad));
  const int half = scan.half, side = 2 * half + 1;
  scan.value.resize(static_cast<std::size_t>((2 * scan.turns + 1) * side * side));
  const std::size_t n = shape.sparse.size();
  std::vector<int> offset(3 * n);
  const int stride = static_cast<int>(wide_.step1()), rim = (wide_.cols - blurred_.cols) / 2;
  const double reach_px = (shape.radius + std::abs(kBand) + std::abs(kOutside) + 1) * px_per_mm_;
  for (int t = -scan.turns; t <= scan.turns; ++t) {
    const Rotation turn(ideal.turn_rad + t * scan.turn_grid_rad);
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
        float& out = scan.value[scan.Index(t, j, i)];
        const Pose pose = scan.At(t, j, i);
        const int u = rim + static_cast<int>(std::lround(pose.at.x * px_per_mm_ - 0.5));
        const int v = rim + static_cast<int>(std::lround(pose.at.y * px_per_mm_ - 0.5));
        if (u - reach_px < 0 || v - reach_px < 0 || u + reach_px >= wide_.cols || v + reach_px >= wide_.rows) {
          out = static_cast<float>(At(shape, pose));  // Far off the sheet: the careful way.
          continue;
        }
        const float* base = wide_.ptr<float>(v) + u;
        float sum = 0;
        for (std::size_t k = 0; k < n; ++k) {
          sum += base[offset[3 * k]] - static_cast<float>(kBodyWeight) * base[offset[3 * k + 1]] -
                 static_cast<float>(kOutsideWeight) * base[offset[3 * k + 2]];
        }
        out = sum / static_cast<float>(n);
      }
    }
  }
  return scan;
}

std::vector<Candidate> OutlineScore::Peaks(const PlateShape& shape, const SiteScan& scan, const Pose& expected,
                                           const SearchWindow& window, std::size_t most) const {
  std::vector<Candidate> raw;
  const int half = scan.half;
  for (int t = -scan.turns; t <= scan.turns; ++t) {
    for (int j = -half; j <= half; ++j) {
      for (int i = -half; i <= half; ++i) {
        const float s = scan.value[scan.Index(t, j, i)];
        bool peak = true;
        for (int dj = -1; dj <= 1 && peak; ++dj) {
          for (int di = -1; di <= 1 && peak; ++di) {
            if (std::abs(i + di) <= half && std::abs(j + dj) <= half && scan.value[scan.Index(t, j + dj, i + di)] > s) peak = false;
          }
        }
        if (!peak) continue;
        // A mild pull towards the expected place, only to rank what to refine.
        const Pose pose = scan.At(t, j, i);
        const Point off = pose.at - expected.at;
        const double turn = WrapTurn(pose.turn_rad - expected.turn_rad) / window.reach_turn_rad;
        raw.push_back({pose, static_cast<double>(s) - 0.10 * Dot(off, off) / (window.reach_mm * window.reach_mm) - 0.05 * turn * turn});
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

Pose CommonMove::Carry(const Pose& ideal) const {
  return {centre + shift + Rotation(turn_rad) * (ideal.at - centre), WrapTurn(ideal.turn_rad + turn_rad)};
}

CommonMove FindCommonMove(const std::vector<SiteScan>& scans, const SearchWindow& window) {
  CommonMove best;
  if (scans.empty()) return best;
  for (const SiteScan& s : scans) best.centre = best.centre + (1.0 / static_cast<double>(scans.size())) * s.ideal.at;
  const auto total = [&](const CommonMove& move) {
    double sum = 0;
    for (const SiteScan& s : scans) {
      const Pose p = move.Carry(s.ideal);
      const double u = (p.at.x - s.ideal.at.x) / s.grid_mm, v = (p.at.y - s.ideal.at.y) / s.grid_mm;
      const int t = std::clamp(static_cast<int>(std::lround(move.turn_rad / s.turn_grid_rad)), -s.turns, s.turns);
      const int i = static_cast<int>(std::lround(u)), j = static_cast<int>(std::lround(v));
      if (std::abs(i) > s.half || std::abs(j) > s.half) continue;
      // The hand's own drift blurs the peak: take the best within a cell.
      float best_near = -1;
      for (int dj = -1; dj <= 1; ++dj) {
        for (int di = -1; di <= 1; ++di) {
          if (std::abs(i + di) <= s.half && std::abs(j + dj) <= s.half) best_near = std::max(best_near, s.value[s.Index(t, j + dj, i + di)]);
        }
      }
      sum += static_cast<double>(best_near);
    }
    // A mild pull to where the plan says, 0.05 at the rim of the window.
    return sum / static_cast<double>(scans.size()) - 0.05 * Dot(move.shift, move.shift) / (window.reach_mm * window.reach_mm);
  };
  double extent = 1;
  for (const SiteScan& s : scans) extent = std::max(extent, Norm(s.ideal.at - best.centre));
  const double grid = 1.5, turn_grid = std::clamp(2.0 / extent, 0.005, 0.05);
  const int half = static_cast<int>(window.reach_mm / grid);
  const int turns = static_cast<int>(std::min(window.reach_turn_rad, 0.14) / turn_grid);
  std::vector<CommonMove> tries;
  for (int t = -turns; t <= turns; ++t) {
    for (int y = -half; y <= half; ++y) {
      for (int x = -half; x <= half; ++x) tries.push_back({{x * grid, y * grid}, t * turn_grid, best.centre, 0});
    }
  }
  cv::parallel_for_(cv::Range(0, static_cast<int>(tries.size())), [&](const cv::Range& range) {
    for (int i = range.start; i < range.end; ++i) {
      auto& move = tries[static_cast<std::size_t>(i)];
      move.score = total(move);
    }
  });
  return *std::max_element(tries.begin(), tries.end(), [](const CommonMove& a, const CommonMove& b) { return a.score < b.score; });
}

std::vector<std::size_t> ChooseCandidates(const std::vector<std::vector<Candidate>>& candidates,
                                          const std::vector<Pose>& expected,
                                          const std::vector<char>& usable) {
  const std::size_t n = candidates.size();
  std::vector<std::size_t> chosen(n, 0);
  // Plane through the drift: (dx, dy) = a + B (ideal - mean); starts at zero drift.
  Eigen::Matrix<double, 3, 2> plane = Eigen::Matrix<double, 3, 2>::Zero();
  Point mean;
  double count = 0;
  for (std::size_t i = 0; i < n; ++i) {
    if (!usable[i] || candidates[i].empty()) continue;
    mean = mean + expected[i].at;
    count += 1;
  }
  if (count == 0) return chosen;
  mean = (1 / count) * mean;
  const auto predict = [&](std::size_t i) {
    const Eigen::RowVector3d t(1, (expected[i].at.x - mean.x) / 100, (expected[i].at.y - mean.y) / 100);
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
        const Point off = p.at - expected[i].at - predict(i);
        const double turn = WrapTurn(p.turn_rad - expected[i].turn_rad) / RadFromDeg(5);
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
        const Point d = candidates[i][chosen[i]].pose.at - expected[i].at;
        const Point off = d - predict(i);
        const double scale = inner == 0 && round == 0 ? 6.0 : 2.0;
        const double w = std::max(0.05, candidates[i][chosen[i]].score) / (1 + Dot(off, off) / (scale * scale));
        const Eigen::Vector3d t(1, (expected[i].at.x - mean.x) / 100, (expected[i].at.y - mean.y) / 100);
        a += w * t * t.transpose();
        b += w * t * Eigen::RowVector2d(d.x, d.y);
      }
      plane = a.ldlt().solve(b);
    }
  }
  return chosen;
}

}  // namespace truepull::detect
