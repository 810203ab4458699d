// SPDX-License-Identifier: Apache-2.0
// Statistical tolerance factors by the noncentral t distribution.
#include "truepull/trap.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace truepull {
namespace {

double NormalCdf(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

// P(T <= t) for noncentral t: T = (Z + delta) / S, S = chi / sqrt(f). The integral over S by
// Simpson's rule where S has weight.
double NoncentralT(double t, double f, double delta) {
  const double width = 1 / std::sqrt(2 * f);
  const double low = std::max(0.0, 1 - 12 * width), high = 1 + 12 * width;
  constexpr int kParts = 4000;
  const double log_norm = std::log(2.0) + f / 2 * std::log(f / 2) - std::lgamma(f / 2);
  double sum = 0;
  for (int i = 0; i <= kParts; ++i) {
    const double s = low + (high - low) * i / kParts;
    double density = 0;
    if (s > 0) density = std::exp(log_norm + (f - 1) * std::log(s) - f * s * s / 2);
    else if (f == 1) density = std::exp(log_norm);
    const double weight = i == 0 || i == kParts ? 1 : i % 2 == 1 ? 4 : 2;
    sum += weight * density * NormalCdf(t * s - delta);
  }
  return sum * (high - low) / (3.0 * kParts);
}

}  // namespace

double NormalQuantile(double share) {
  double low = -40, high = 40;
  for (int i = 0; i < 200; ++i) {
    const double middle = (low + high) / 2;
    (NormalCdf(middle) < share ? low : high) = middle;
  }
  return (low + high) / 2;
}

double ToleranceFactor(int n, double content, double confidence) {
  const double root = std::sqrt(static_cast<double>(n));
  const double delta = NormalQuantile(content) * root;
  double low = 0, high = 1;
  while (high < 1e6 && NoncentralT(high * root, n - 1, delta) < confidence) high *= 2;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (NoncentralT(middle * root, n - 1, delta) < confidence ? low : high) = middle;
  }
  return (low + high) / 2;
}

TrapWidth TrapFor(double sd_mm, double closes, int sites) {
  TrapWidth out;
  out.closes = closes;
  out.sites = sites;
  out.factor = std::numbers::sqrt2 *
               (sites >= 2 ? ToleranceFactor(sites, closes, 0.95) : NormalQuantile(closes));
  out.width_mm = out.factor * sd_mm;
  return out;
}

}  // namespace truepull
