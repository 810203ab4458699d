// SPDX-License-Identifier: Apache-2.0
#include "edition/sheet_fit.h"

#include <Eigen/Dense>
#include <cmath>

namespace truepull {
namespace {

// A site is gross when so large a distance comes once in 100 000 by chance. The spread it is
// measured by comes from few sites itself, so the limit follows F(2, v), whose tail is
// (1 + 2 f / v)^(-v / 2): leaving out normal sites would make the tests speak too often.
double GrossLimit(const DriftReport& drift) {
  const double v = std::max(2.0, static_cast<double>(drift.printed + drift.weak) - 3);
  return v * (std::pow(1e-5, -2 / v) - 1);
}

bool Gross(const DriftReport& drift, const SiteDrift& d, double limit) {
  if (!drift.has_hand_sd) return false;
  const double v = drift.hand_sd_mm * drift.hand_sd_mm;
  const double a = d.covariance[0] + v + 1e-8, b = d.covariance[1], c = d.covariance[4] + v + 1e-8;
  const Point r = d.hand_shift;
  const double t = (c * r.x * r.x - 2 * b * r.x * r.y + a * r.y * r.y) / (a * c - b * b);
  return t > limit;
}

}  // namespace

std::vector<double> LeftOver(const SheetFit& fit, const std::vector<double>& values) {
  std::array<double, 3> sum{}, b{};
  for (std::size_t i = 0; i < values.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) sum[k] += fit.regressors[i][k] * values[i];
  }
  for (std::size_t j = 0; j < 3; ++j) {
    for (std::size_t k = 0; k < 3; ++k) b[j] += fit.inverse[3 * j + k] * sum[k];
  }
  std::vector<double> left = values;
  for (std::size_t i = 0; i < values.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) left[i] -= fit.regressors[i][k] * b[k];
  }
  return left;
}

SheetFit FitSheet(const DriftReport& drift, Point centre, const std::vector<char>& left_out) {
  SheetFit fit;
  const double limit = GrossLimit(drift);
  for (std::size_t i = 0; i < drift.sites.size(); ++i) {
    const SiteDrift& d = drift.sites[i];
    if (d.state == SiteState::kMissing || Gross(drift, d, limit) || (!left_out.empty() && left_out[i] != 0)) continue;
    fit.sites.push_back(i);
    fit.offset.push_back(d.ideal.at - centre);
    fit.drift.push_back(d.shift);
  }
  const auto n = static_cast<Eigen::Index>(fit.sites.size());
  if (n == 0) return fit;
  if (drift.sheet_part) {
    fit.has_x = drift.sheet_part->has_stretch_x;
    fit.has_y = drift.sheet_part->has_stretch_y;
  }
  if (n < 4 && fit.has_x && fit.has_y) fit.has_x = fit.has_y = false;
  if (n < 3) fit.has_x = fit.has_y = false;
  std::vector<int> columns{0};
  if (fit.has_x) columns.push_back(1);
  if (fit.has_y) columns.push_back(2);
  const auto q = static_cast<Eigen::Index>(columns.size());
  Eigen::MatrixXd a(n, q), y(n, 2);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Point o = fit.offset[static_cast<std::size_t>(i)];
    const double row[3] = {1, o.x, o.y};
    for (Eigen::Index k = 0; k < q; ++k) a(i, k) = row[columns[static_cast<std::size_t>(k)]];
    y(i, 0) = fit.drift[static_cast<std::size_t>(i)].x, y(i, 1) = fit.drift[static_cast<std::size_t>(i)].y;
  }
  const Eigen::MatrixXd inverse = (a.transpose() * a).ldlt().solve(Eigen::MatrixXd::Identity(q, q));
  const Eigen::MatrixXd b = inverse * (a.transpose() * y);
  const Eigen::MatrixXd r = y - a * b;
  fit.unknowns = static_cast<int>(q);
  fit.freedom = static_cast<double>(n - q);
  fit.shift = {b(0, 0), b(0, 1)};
  for (Eigen::Index k = 1; k < q; ++k) {
    const auto at = static_cast<std::size_t>(columns[static_cast<std::size_t>(k)] - 1);
    fit.map[at] = b(k, 0);      // d x / d (x or y).
    fit.map[2 + at] = b(k, 1);
  }
  for (Eigen::Index j = 0; j < q; ++j) {
    for (Eigen::Index k = 0; k < q; ++k) {
      fit.inverse[static_cast<std::size_t>(3 * columns[static_cast<std::size_t>(j)] + columns[static_cast<std::size_t>(k)])] = inverse(j, k);
    }
  }
  for (Eigen::Index i = 0; i < n; ++i) {
    fit.residual.push_back({r(i, 0), r(i, 1)});
    fit.leverage.push_back(a.row(i) * inverse * a.row(i).transpose());
    const Point o = fit.offset[static_cast<std::size_t>(i)];
    fit.regressors.push_back({1, fit.has_x ? o.x : 0, fit.has_y ? o.y : 0});
  }
  if (fit.freedom > 0) {
    const Eigen::Matrix2d s = r.transpose() * r / fit.freedom;
    fit.cross = {s(0, 0), s(0, 1), s(1, 0), s(1, 1)};
    // A hair of scatter, so that exact readings do not divide by nothing.
    const Eigen::Matrix2d sound = s + 1e-10 * Eigen::Matrix2d::Identity();
    const Eigen::Vector2d shift(fit.shift.x, fit.shift.y);
    fit.shift_test = HotellingTest(shift.dot(sound.inverse() * shift) / inverse(0, 0), 2, fit.freedom);
  }
  return fit;
}

}  // namespace truepull
