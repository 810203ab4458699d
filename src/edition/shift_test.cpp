// SPDX-License-Identifier: Apache-2.0
#include "truepull/shift_test.h"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace truepull {

double ChanceOfF(double f, double freedom_1, double freedom_2) {
  if (!(freedom_1 > 0) || !(freedom_2 > 0) || !(f > 0)) return 1;
  if (!std::isfinite(f)) return 0;
  return boost::math::cdf(boost::math::complement(boost::math::fisher_f(freedom_1, freedom_2), f));
}

double ChanceOfT(double t, double freedom) {
  if (!(freedom > 0) || std::isnan(t)) return 1;
  if (!std::isfinite(t)) return 0;
  return 2 * boost::math::cdf(boost::math::complement(boost::math::students_t(freedom), std::abs(t)));
}

double ChiSquareQuantile(double probability, double freedom) {
  return boost::math::quantile(boost::math::chi_squared(freedom), probability);
}

double NormalQuantile(double probability) {
  return boost::math::quantile(boost::math::normal(), probability);
}

double AmongMany(double p, double count) {
  return count <= 1 ? p : -std::expm1(count * std::log1p(-std::min(p, 1.0 - 1e-16)));
}

ShiftTest HotellingTest(double t2, int dimensions, double covariance_freedom) {
  ShiftTest test;
  test.t2 = t2;
  test.freedom = covariance_freedom - dimensions + 1;
  if (test.freedom < 1) return test;
  test.f = t2 * test.freedom / (covariance_freedom * dimensions);
  test.p = ChanceOfF(test.f, dimensions, test.freedom);
  return test;
}

ShiftTest HotellingOneSample(const std::vector<std::vector<double>>& rows, std::span<const double> expected) {
  const auto p = static_cast<Eigen::Index>(expected.size());
  const auto n = static_cast<Eigen::Index>(rows.size());
  if (n <= p) return {};
  Eigen::MatrixXd x(n, p);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < p; ++j) {
      x(i, j) = rows[static_cast<std::size_t>(i)].at(static_cast<std::size_t>(j)) - expected[static_cast<std::size_t>(j)];
    }
  }
  const Eigen::VectorXd mean = x.colwise().mean();
  const Eigen::MatrixXd centred = x.rowwise() - mean.transpose();
  const Eigen::MatrixXd s = centred.transpose() * centred / static_cast<double>(n - 1);
  const double t2 = static_cast<double>(n) * mean.dot(s.ldlt().solve(mean));
  return HotellingTest(t2, static_cast<int>(p), static_cast<double>(n - 1));
}

double HotellingLimit(int n, int dimensions, double confidence) {
  const double m = n - 1, p = dimensions;
  const double f = boost::math::quantile(boost::math::fisher_f(p, m - p + 1), confidence);
  return f * m * p / (m - p + 1);
}

ErrorEllipse EllipseFor(const std::array<double, 4>& c, double probability) {
  const double scale = ChiSquareQuantile(probability, 2);
  const double half = std::hypot((c[0] - c[3]) / 2, c[1]), middle = (c[0] + c[3]) / 2;
  return {std::sqrt(scale * std::max(0.0, middle + half)), std::sqrt(scale * std::max(0.0, middle - half)),
          0.5 * std::atan2(2 * c[1], c[0] - c[3])};
}

}  // namespace truepull
