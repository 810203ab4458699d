// SPDX-License-Identifier: Apache-2.0
#include "detect/blurred_step.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace truepull::detect {

double BlurredStep(double x) {
  constexpr int kHalf = 2048;
  constexpr double kReach = 4;
  static const std::vector<float> table = [] {
    std::vector<float> t(2 * kHalf + 1);
    for (int i = 0; i <= 2 * kHalf; ++i) {
      t[static_cast<std::size_t>(i)] = static_cast<float>(0.5 * std::erfc(-(i - kHalf) * kReach / kHalf * std::numbers::sqrt2 / 2));
    }
    return t;
  }();
  const double u = std::clamp(x, -kReach, kReach) * (kHalf / kReach) + kHalf;
  return static_cast<double>(table[static_cast<std::size_t>(u + 0.5)]);
}

double BlurredLine(double x) {
  return std::abs(x) > 5 ? 0 : std::exp(-0.5 * x * x) / std::sqrt(2 * std::numbers::pi);
}

}  // namespace truepull::detect
