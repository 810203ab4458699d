// SPDX-License-Identifier: Apache-2.0
#include "truepull/tolerance_factor.h"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <vector>

namespace truepull {

double ToleranceFactorOneSided(int n, double content, double confidence) {
  const double root = std::sqrt(static_cast<double>(n));
  const boost::math::non_central_t t(n - 1, boost::math::quantile(boost::math::normal(), content) * root);
  return boost::math::quantile(t, confidence) / root;
}

// With the mean off by u = z / sqrt n sigma, the interval holds `content` when k s reaches
// r(u), where Phi(u + r) - Phi(u - r) = content. So the confidence is the mean over z of
// P(chi2 >= (n - 1) r^2 / k^2); k is found by halving.
double ToleranceFactorTwoSided(int n, double content, double confidence) {
  const boost::math::normal normal;
  const boost::math::chi_squared chi(n - 1);
  struct Node {
    double weight, r;
  };
  std::vector<Node> nodes;
  constexpr int kSteps = 400;
  constexpr double kReach = 8.5;  // Beyond it a normal value has a chance of 1e-17.
  for (int i = 0; i <= kSteps; ++i) {
    const double z = kReach * i / kSteps, u = z / std::sqrt(static_cast<double>(n));
    double low = 0, high = u + 10;
    for (int k = 0; k < 60; ++k) {
      const double r = (low + high) / 2;
      (boost::math::cdf(normal, u + r) - boost::math::cdf(normal, u - r) < content ? low : high) = r;
    }
    const double simpson = i == 0 || i == kSteps ? 1 : i % 2 == 1 ? 4 : 2;
    nodes.push_back({2 * boost::math::pdf(normal, z) * simpson * kReach / kSteps / 3, (low + high) / 2});
  }
  const auto reached = [&](double k) {
    double sum = 0;
    for (const Node& node : nodes) {
      sum += node.weight * boost::math::cdf(boost::math::complement(chi, (n - 1) * node.r * node.r / (k * k)));
    }
    return sum;
  };
  double low = 0, high = 1;
  while (reached(high) < confidence) high *= 2;
  for (int k = 0; k < 60; ++k) {
    const double middle = (low + high) / 2;
    (reached(middle) < confidence ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace truepull
