// SPDX-License-Identifier: Apache-2.0
// How well the sides' fit is known.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "photo/side_fit.h"

namespace truepull {
namespace {

constexpr std::size_t kBins = 64;  // To a side: finer than any cockle, few enough for all pairs.

// Each side as a whole may be seen a little off (its shadow, the table's grain along it).
constexpr double kSideOffsetPx = 0.03;

using Vector = Eigen::Matrix<double, kSideUnknowns, 1>;
using Matrix = Eigen::Matrix<double, kSideUnknowns, kSideUnknowns>;

struct Bin {
  Vector pull = Vector::Zero();  // Sum of weight * derivative.
  double weight = 0;             // Sum of weights.
  double residual = 0;           // Weighted mean, px.
  double noise = 0;              // Variance of that mean from the scatter within the bin.
};

}  // namespace

void EstimateCovariance(std::span<const SidePoint> points, const SideFitOptions& options, SideFit* fit) {
  std::array<std::array<Bin, kBins>, 4> bins;
  Matrix a = Matrix::Zero();
  std::array<std::array<double, kBins>, 4> squares{};
  std::array<std::array<double, kBins>, 4> weight_squares{};
  std::array<Vector, 4> whole;
  whole.fill(Vector::Zero());
  for (std::size_t i = 0; i < points.size(); ++i) {
    double residual = 0;
    const auto d = SideDerivative(points[i], *fit, &residual);
    const Vector row = Eigen::Map<const Vector>(d.data());
    const double sd = points[i].sd_px * fit->scale, w = fit->weights[i] / (sd * sd);
    if (w <= 0) continue;
    a.noalias() += w * row * row.transpose();
    const auto b = static_cast<std::size_t>(std::clamp(points[i].along, 0.0, 0.999999) * kBins);
    Bin& bin = bins[points[i].side][b];
    bin.pull += w * row;
    bin.weight += w;
    bin.residual += w * residual;
    squares[points[i].side][b] += w * residual * residual;
    weight_squares[points[i].side][b] += w * w;
    whole[points[i].side] += w * row;
  }
  const double k2_sd = options.fit_k2 ? options.k2_prior_sd : 1e-6;
  a(8, 8) += 1 / (options.k1_prior_sd * options.k1_prior_sd);
  a(9, 9) += 1 / (k2_sd * k2_sd);
  for (int i = 0; i < 8; ++i) a(i, i) += 1e-8;

  // Scatter within bins, pooled: the part of the residual that does not hang together.
  double within = 0, within_weight = 0;
  for (std::size_t s = 0; s < 4; ++s) {
    for (std::size_t b = 0; b < kBins; ++b) {
      Bin& bin = bins[s][b];
      if (bin.weight <= 0) continue;
      bin.residual /= bin.weight;
      const double lost = bin.weight - weight_squares[s][b] / bin.weight;
      within += squares[s][b] - bin.weight * bin.residual * bin.residual;
      within_weight += std::max(0.0, lost);
    }
  }
  const double white = within_weight > 0 ? within / within_weight : 0;

  // Covariance of the bins' means at lags, pooled over the sides.
  std::array<double, kBins> lagged{};
  std::array<int, kBins> pairs{};
  double used = 0;
  for (std::size_t s = 0; s < 4; ++s) {
    for (std::size_t i = 0; i < kBins; ++i) {
      if (bins[s][i].weight <= 0) continue;
      bins[s][i].noise = white * weight_squares[s][i] / (bins[s][i].weight * bins[s][i].weight);
      used += 1;
      for (std::size_t j = i; j < kBins; ++j) {
        if (bins[s][j].weight <= 0) continue;
        lagged[j - i] += bins[s][i].residual * bins[s][j].residual - (i == j ? bins[s][i].noise : 0);
        ++pairs[j - i];
      }
    }
  }
  for (std::size_t k = 0; k < kBins; ++k) lagged[k] = pairs[k] > 0 ? lagged[k] / pairs[k] : 0;
  const double shared = std::max(0.0, lagged[0]);
  // The reach of the correlation, in bins: the sum up to its first zero. An exponential
  // of that reach stands for it.
  double reach = 0.5;
  for (std::size_t k = 1; k < kBins && lagged[k] > 0 && shared > 0; ++k) {
    reach += std::min(1.0, lagged[k] / shared);
  }
  // Independent stretches, and what the fit has swallowed of them.
  const double stretches = used / (2 * reach);
  const double unknowns = 9 + (options.fit_k2 ? 1 : 0);
  const double swallowed = stretches / std::max(stretches - unknowns, 0.2 * stretches);

  Matrix meat = Matrix::Zero();
  meat(8, 8) += 1 / (options.k1_prior_sd * options.k1_prior_sd);
  meat(9, 9) += 1 / (k2_sd * k2_sd);
  for (std::size_t s = 0; s < 4; ++s) {
    for (std::size_t i = 0; i < kBins; ++i) {
      if (bins[s][i].weight <= 0) continue;
      Vector sum = Vector::Zero();
      for (std::size_t j = 0; j < kBins; ++j) {
        if (bins[s][j].weight <= 0) continue;
        const double lag = std::abs(double(i) - double(j));
        double covariance = shared * swallowed * std::exp(-lag / reach);
        if (i == j) covariance += bins[s][i].noise;
        sum += covariance * bins[s][j].pull;
      }
      meat.noalias() += bins[s][i].pull * sum.transpose();
    }
    meat.noalias() += (kSideOffsetPx * kSideOffsetPx) * whole[s] * whole[s].transpose();
  }
  const Matrix inverse = a.inverse();
  Matrix covariance = inverse * meat * inverse.transpose();
  covariance = 0.5 * (covariance + covariance.transpose()).eval();
  for (int i = 0; i < kSideUnknowns; ++i) {
    for (int j = 0; j < kSideUnknowns; ++j) {
      fit->covariance[static_cast<std::size_t>(i * kSideUnknowns + j)] = covariance(i, j);
    }
  }
}

}  // namespace truepull
