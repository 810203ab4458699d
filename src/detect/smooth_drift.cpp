// SPDX-License-Identifier: Apache-2.0
#include "detect/smooth_drift.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "geometry/median.h"

namespace truepull::detect {
Pose SmoothDrift::Predict(const Pose& expected) const {
  const double x = (expected.at.x - mean.x) / 100, y = (expected.at.y - mean.y) / 100;
  return {expected.at + Point{k[0] + k[1] * x + k[2] * y, k[3] + k[4] * x + k[5] * y},
          WrapTurn(expected.turn_rad + k[6] + k[7] * x + k[8] * y)};
}

double SmoothDrift::Off(const Pose& pose, const Pose& expected) const {
  const Pose q = Predict(expected);
  const Point d = pose.at - q.at;
  const double t = WrapTurn(pose.turn_rad - q.turn_rad) / sd_turn_rad;
  return std::sqrt(0.5 * Dot(d, d) / (sd_mm * sd_mm) + 0.5 * t * t);
}

SmoothDrift FitSmoothDrift(const std::vector<Pull>& pulls, const std::vector<Pose>& expected) {
  SmoothDrift out;
  std::vector<std::size_t> use;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    if (pulls[i].present) use.push_back(i);
  }
  if (use.empty()) return out;
  const auto count = static_cast<double>(use.size());
  for (const std::size_t i : use) out.mean = out.mean + (1 / count) * expected[i].at;
  std::vector<double> weight(use.size(), 1.0);
  for (int round = 0; round < 8; ++round) {
    Eigen::Matrix3d a = Eigen::Vector3d(0.01, 0.5, 0.5).asDiagonal();
    Eigen::Matrix3d b = Eigen::Matrix3d::Zero();
    for (std::size_t u = 0; u < use.size(); ++u) {
      const Pull& p = pulls[use[u]];
      const Pose& e = expected[use[u]];
      const Eigen::Vector3d t(1, (e.at.x - out.mean.x) / 100, (e.at.y - out.mean.y) / 100);
      const Eigen::RowVector3d d(p.pose.at.x - e.at.x, p.pose.at.y - e.at.y,
                                 WrapTurn(p.pose.turn_rad - e.turn_rad));
      const double ragged = p.spread_mm / 0.2;
      const double w = weight[u] / (1 + ragged * ragged);
      a += w * t * t.transpose();
      b += w * t * d;
    }
    const Eigen::Matrix3d x = a.ldlt().solve(b);
    for (int c = 0; c < 3; ++c) {
      for (int r = 0; r < 3; ++r) out.k[static_cast<std::size_t>(3 * c + r)] = x(r, c);
    }
    std::vector<double> off, turn;
    for (std::size_t u = 0; u < use.size(); ++u) {
      const Pose q = out.Predict(expected[use[u]]);
      const Point d = pulls[use[u]].pose.at - q.at;
      off.push_back(std::abs(d.x));
      off.push_back(std::abs(d.y));
      turn.push_back(std::abs(WrapTurn(pulls[use[u]].pose.turn_rad - q.turn_rad)));
      weight[u] = 1 / (1 + Dot(d, d) / (2 * out.sd_mm * out.sd_mm));
    }
    // Bounds: no hand is better than 0.7 mm for sure, and over 5 mm nothing is smooth.
    out.sd_mm = std::clamp(1.4826 * Median(off), 0.7, 5.0);
    out.sd_turn_rad = std::clamp(1.4826 * Median(turn), 0.01, 0.1);
  }
  return out;
}

}  // namespace truepull::detect
