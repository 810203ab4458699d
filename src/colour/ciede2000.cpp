// SPDX-License-Identifier: Apache-2.0
// CIEDE2000 step by step, in the numbering of Sharma, Wu and Dalal (2005).
#include "truepull/colour.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace truepull {
namespace {

constexpr double kPi = std::numbers::pi;
double Rad(double deg) { return deg * kPi / 180; }

// Hue in degrees, 0 to 360; 0 for a grey.
double Hue(double a, double b) {
  if (a == 0 && b == 0) return 0;
  const double h = std::atan2(b, a) * 180 / kPi;
  return h < 0 ? h + 360 : h;
}

double Seventh(double c) {  // sqrt(c^7 / (c^7 + 25^7))
  const double c7 = std::pow(c, 7);
  return std::sqrt(c7 / (c7 + 6103515625.0));
}

}  // namespace

double ColourDifference(const Lab& one, const Lab& two) {
  const double chroma = (std::hypot(one.a, one.b) + std::hypot(two.a, two.b)) / 2;
  const double g = 0.5 * (1 - Seventh(chroma));
  const double a1 = (1 + g) * one.a, a2 = (1 + g) * two.a;
  const double c1 = std::hypot(a1, one.b), c2 = std::hypot(a2, two.b);
  const double h1 = Hue(a1, one.b), h2 = Hue(a2, two.b);

  // Opposite hues: rounding must not choose the side of the circle.
  constexpr double kHalfCircle = 180 + 1e-9;
  double dh = 0, mean_h = h1 + h2;
  if (c1 * c2 != 0) {
    dh = h2 - h1;
    if (std::abs(h1 - h2) <= kHalfCircle) mean_h /= 2;
    else mean_h = mean_h < 360 ? (mean_h + 360) / 2 : (mean_h - 360) / 2;
    if (dh > kHalfCircle) dh -= 360;
    else if (dh < -kHalfCircle) dh += 360;
  }
  const double d_l = two.L - one.L, d_c = c2 - c1;
  const double d_h = 2 * std::sqrt(c1 * c2) * std::sin(Rad(dh / 2));

  const double mean_l = (one.L + two.L) / 2, mean_c = (c1 + c2) / 2;
  const double t = 1 - 0.17 * std::cos(Rad(mean_h - 30)) + 0.24 * std::cos(Rad(2 * mean_h)) +
                   0.32 * std::cos(Rad(3 * mean_h + 6)) - 0.20 * std::cos(Rad(4 * mean_h - 63));
  const double l50 = (mean_l - 50) * (mean_l - 50);
  const double s_l = 1 + 0.015 * l50 / std::sqrt(20 + l50);
  const double s_c = 1 + 0.045 * mean_c, s_h = 1 + 0.015 * mean_c * t;
  const double away = (mean_h - 275) / 25;
  const double r_t = -2 * Seventh(mean_c) * std::sin(Rad(60 * std::exp(-away * away)));
  const double l = d_l / s_l, c = d_c / s_c, h = d_h / s_h;
  return std::sqrt(std::max(0.0, l * l + c * c + h * h + r_t * c * h));
}

}  // namespace truepull
