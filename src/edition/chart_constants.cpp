// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <numbers>

#include "truepull/run_chart.h"

namespace truepull {
namespace {

double Phi(double x) { return 0.5 * std::erfc(-x / std::numbers::sqrt2); }

// E[R] = integral of 1 - Phi^n - (1 - Phi)^n. The trapezium rule over the whole line is
// exact to rounding for so smooth a function.
double MeanRange(int n) {
  constexpr double kStep = 0.05, kReach = 10;
  double sum = 0;
  for (double x = -kReach; x <= kReach; x += kStep) {
    sum += 1 - std::pow(Phi(x), n) - std::pow(Phi(-x), n);
  }
  return kStep * sum;
}

// E[R^2] = 2 integral over x < y of 1 - Phi(y)^n - (1 - Phi(x))^n + (Phi(y) - Phi(x))^n
// (W. L. Tippett, Biometrika 17, 1925). With y = x + r: trapezium in x, Simpson in r.
double MeanSquareRange(int n) {
  constexpr double kStep = 0.05, kReach = 10, kWidth = 14;
  constexpr int kParts = 280;
  double sum = 0;
  for (int i = 0; i <= kParts; ++i) {
    const double r = kWidth * i / kParts;
    double inner = 0;
    for (double x = -kReach - kWidth; x <= kReach; x += kStep) {
      inner += 1 - std::pow(Phi(x + r), n) - std::pow(Phi(-x), n) + std::pow(Phi(x + r) - Phi(x), n);
    }
    sum += (i == 0 || i == kParts ? 1 : i % 2 == 1 ? 4 : 2) * inner;
  }
  return 2 * kStep * sum * kWidth / kParts / 3;
}

}  // namespace

ChartConstants ChartConstantsFor(int n) {
  ChartConstants c;
  c.n = n = std::clamp(n, 2, 50);
  c.d2 = MeanRange(n);
  c.d3 = std::sqrt(MeanSquareRange(n) - c.d2 * c.d2);
  c.c4 = std::sqrt(2.0 / (n - 1)) * std::exp(std::lgamma(n / 2.0) - std::lgamma((n - 1) / 2.0));
  const double root = std::sqrt(static_cast<double>(n)), s = 3 * std::sqrt(1 - c.c4 * c.c4);
  c.a = 3 / root, c.a2 = 3 / (c.d2 * root), c.a3 = 3 / (c.c4 * root);
  c.d_lower_1 = std::max(0.0, c.d2 - 3 * c.d3), c.d_upper_1 = c.d2 + 3 * c.d3;
  c.d_lower = c.d_lower_1 / c.d2, c.d_upper = c.d_upper_1 / c.d2;
  c.b_lower_sigma = std::max(0.0, c.c4 - s), c.b_upper_sigma = c.c4 + s;
  c.b_lower = c.b_lower_sigma / c.c4, c.b_upper = c.b_upper_sigma / c.c4;
  c.e2 = 3 / c.d2;
  return c;
}

}  // namespace truepull
