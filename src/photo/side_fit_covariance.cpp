// SPDX-License-Identifier: Apache-2.0
// How well the sides are known when their residuals hang together.
//
// Cockled paper moves a side in waves; hundreds of places on one wave are one witness, and
// the longest waves look like another camera. So the residuals, averaged in short
// stretches, are taken for r = J d + u + e: d what the fit is still off, u a random wave
// along each side (Matern, smoothness 3/2: variance v, reach l), e independent. v and l are
// those of the greatest restricted likelihood (Patterson & Thompson, Biometrika 58, 1971),
// which allows for what the fit has already swallowed; d and its covariance follow by
// generalised least squares.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <vector>

#include "photo/side_fit.h"

namespace truepull {
namespace {

constexpr std::size_t kBins = 24;  // To a side: finer than a cockle's waves, quick to solve.

// Each side as a whole may be seen a little off (its shadow, the table's grain along it).
constexpr double kSideOffsetPx = 0.03;

using Vector = Eigen::Matrix<double, kSideUnknowns, 1>;
using Matrix = Eigen::Matrix<double, kSideUnknowns, kSideUnknowns>;

struct Stretch {
  std::size_t side = 0;
  Vector derivative = Vector::Zero();
  double along = 0;      // In mean side lengths.
  double residual = 0;   // Weighted mean, px.
  double weight = 0, weight_squares = 0, squares = 0;
};

std::vector<Stretch> Stretches(std::span<const SidePoint> points, const SideFit& fit, double* white) {
  std::array<double, 4> length{};
  double mean_length = 0;
  for (std::size_t s = 0; s < 4; ++s) {
    length[s] = Norm(fit.corners[Next(s)] - fit.corners[s]);
    mean_length += length[s] / 4;
  }
  std::vector<Stretch> all(4 * kBins);
  for (std::size_t i = 0; i < points.size(); ++i) {
    double residual = 0;
    const auto d = SideDerivative(points[i], fit, &residual);
    const double w = fit.weights[i] / (points[i].sd_px * points[i].sd_px);
    if (w <= 0) continue;
    const SidePoint& p = points[i];
    Stretch& one = all[p.side * kBins + static_cast<std::size_t>(std::clamp(p.along, 0.0, 0.999999) * kBins)];
    one.side = p.side;
    one.derivative += w * Eigen::Map<const Vector>(d.data());
    one.along += w * p.along * length[p.side] / mean_length;
    one.residual += w * residual;
    one.weight += w;
    one.weight_squares += w * w;
    one.squares += w * residual * residual;
  }
  std::erase_if(all, [](const Stretch& s) { return s.weight <= 0; });
  // Scatter about the line within a stretch would be better; a wave's slope over 1/24 of
  // a side adds little.
  double within = 0, freedom = 0;
  for (Stretch& s : all) {
    s.derivative /= s.weight;
    s.along /= s.weight;
    s.residual /= s.weight;
    within += s.squares - s.weight * s.residual * s.residual;
    freedom += std::max(0.0, s.weight - s.weight_squares / s.weight);
  }
  *white = freedom > 0 ? within / freedom : 0;
  return all;
}

// One choice of wave, solved.
struct Solved {
  double likelihood = -1e300;  // Restricted, logarithm, up to a constant.
  Vector move = Vector::Zero();
  Matrix covariance = Matrix::Zero();
};

Solved Solve(const std::vector<Stretch>& stretches,
             const Matrix& prior,
             const Vector& from_prior,
             double white,
             double variance,
             double reach) {
  const auto n = static_cast<Eigen::Index>(stretches.size());
  Eigen::MatrixXd c(n, n), j(n, kSideUnknowns);
  Eigen::VectorXd r(n);
  for (Eigen::Index a = 0; a < n; ++a) {
    const Stretch& s = stretches[static_cast<std::size_t>(a)];
    j.row(a) = s.derivative;
    r(a) = s.residual;
    for (Eigen::Index b = a; b < n; ++b) {
      const Stretch& t = stretches[static_cast<std::size_t>(b)];
      double v = 0;
      if (s.side == t.side) {
        const double u = std::sqrt(3.0) * std::abs(s.along - t.along) / reach;
        v = variance * (1 + u) * std::exp(-u) + kSideOffsetPx * kSideOffsetPx;
      }
      if (a == b) v += white * s.weight_squares / (s.weight * s.weight) + 1e-8;
      c(a, b) = c(b, a) = v;
    }
  }
  const Eigen::LLT<Eigen::MatrixXd> whole(c);
  Solved solved;
  if (whole.info() != Eigen::Success) return solved;
  const Eigen::MatrixXd lj = whole.matrixL().solve(j);
  const Eigen::VectorXd lr = whole.matrixL().solve(r);
  const Matrix normal = lj.transpose() * lj + prior;
  const Eigen::LLT<Matrix> small(normal);
  if (small.info() != Eigen::Success) return solved;
  // Residuals fall as the unknowns rise along the derivative's opposite: r + J d = noise.
  const Vector right = -(lj.transpose() * lr) + from_prior;
  solved.move = small.solve(right);
  solved.covariance = small.solve(Matrix::Identity());
  double determinants = 0;
  for (Eigen::Index i = 0; i < n; ++i) determinants += std::log(whole.matrixLLT()(i, i));
  for (Eigen::Index i = 0; i < kSideUnknowns; ++i) determinants += std::log(small.matrixLLT()(i, i));
  solved.likelihood = -determinants - 0.5 * (lr.squaredNorm() - right.dot(solved.move));
  return solved;
}

}  // namespace

void EstimateCovariance(std::span<const SidePoint> points, const SideFitOptions& options, SideFit* fit) {
  double white = 0;
  const std::vector<Stretch> stretches = Stretches(points, *fit, &white);
  Matrix prior = 1e-8 * Matrix::Identity();
  const double k2_sd = options.fit_k2 ? options.k2_prior_sd : 1e-6;
  prior(8, 8) += 1 / (options.k1_prior_sd * options.k1_prior_sd);
  prior(9, 9) += 1 / (k2_sd * k2_sd);
  Vector from_prior = Vector::Zero();
  from_prior(8) = -fit->k1 * prior(8, 8);
  from_prior(9) = -fit->k2 * prior(9, 9);
  double seen = 0;
  for (const Stretch& s : stretches) seen += s.residual * s.residual / double(stretches.size());
  // No waves at all, or waves of some strength and reach (in mean side lengths).
  Solved best = Solve(stretches, prior, from_prior, white, 0, 1);
  struct Wave {
    double likelihood, variance;
  };
  std::vector<Wave> waves{{best.likelihood, 0}};
  for (const double reach : {0.03, 0.07, 0.15}) {
    for (const double times : {0.7, 1.5, 4.0}) {
      Solved one = Solve(stretches, prior, from_prior, white, times * seen, reach);
      // Strength and reach of a long wave can hardly be told apart; of alike likely ones the
      // strength nearest to what is seen is the better guess (one e-fold counts as 1 sd).
      one.likelihood -= 0.5 * std::log(times) * std::log(times);
      waves.push_back({one.likelihood, times * seen});
      if (one.likelihood > best.likelihood) best = one;
    }
  }
  double all = 0, variance = 0;
  for (const Wave& w : waves) {
    const double share = std::exp(w.likelihood - best.likelihood);
    all += share;
    variance += share * w.variance;
  }
  fit->wave_px = std::sqrt(variance / all);
  for (std::size_t i = 0; i < 4; ++i) {
    fit->corners[i] = fit->corners[i] + Point{best.move(Eigen::Index(2 * i)), best.move(Eigen::Index(2 * i + 1))};
  }
  fit->k1 += best.move(8);
  fit->k2 += best.move(9);
  for (int i = 0; i < kSideUnknowns; ++i) {
    for (int j = 0; j < kSideUnknowns; ++j) {
      fit->covariance[static_cast<std::size_t>(i * kSideUnknowns + j)] = best.covariance(i, j);
    }
  }
}

}  // namespace truepull
