// SPDX-License-Identifier: Apache-2.0
#include "truepull/colour.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

// sRGB's primaries under D65, to seven digits, and the white that they add up to. The
// white of the rows' sums keeps greys exactly at a = b = 0.
constexpr double kXyz[3][3] = {{0.4124564, 0.3575761, 0.1804375},
                               {0.2126729, 0.7151522, 0.0721750},
                               {0.0193339, 0.1191920, 0.9503041}};
constexpr double White(int row) { return kXyz[row][0] + kXyz[row][1] + kXyz[row][2]; }

// The inverse of the rows above.
constexpr std::array<std::array<double, 3>, 3> InverseXyz() {
  std::array<std::array<double, 3>, 3> out{};
  double det = 0;
  for (int i = 0; i < 3; ++i) {
    det += kXyz[0][i] * (kXyz[1][(i + 1) % 3] * kXyz[2][(i + 2) % 3] - kXyz[1][(i + 2) % 3] * kXyz[2][(i + 1) % 3]);
  }
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      out[static_cast<std::size_t>(j)][static_cast<std::size_t>(i)] =
          (kXyz[(i + 1) % 3][(j + 1) % 3] * kXyz[(i + 2) % 3][(j + 2) % 3] -
           kXyz[(i + 1) % 3][(j + 2) % 3] * kXyz[(i + 2) % 3][(j + 1) % 3]) / det;
    }
  }
  return out;
}

// CIE's cube root with its straight foot, exact fractions.
constexpr double kFoot = 6.0 / 29;
double Root(double t) { return t > kFoot * kFoot * kFoot ? std::cbrt(t) : t / (3 * kFoot * kFoot) + 4.0 / 29; }
double Cube(double f) { return f > kFoot ? f * f * f : 3 * kFoot * kFoot * (f - 4.0 / 29); }

int HexDigit(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

}  // namespace

double LinearOfCoded(double coded) {
  return coded <= 0.04045 ? coded / 12.92 : std::pow((coded + 0.055) / 1.055, 2.4);
}

double CodedOfLinear(double linear) {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * std::pow(linear, 1 / 2.4) - 0.055;
}

const std::array<float, 256>& LinearOfCodes() {
  static const std::array<float, 256> table = [] {
    std::array<float, 256> t{};
    for (std::size_t i = 0; i < t.size(); ++i) t[i] = static_cast<float>(LinearOfCoded(static_cast<double>(i) / 255));
    return t;
  }();
  return table;
}

std::optional<LinearColour> ColourOfHex(std::string_view hex) {
  if (hex.size() != 7 || hex[0] != '#') return std::nullopt;
  std::array<double, 3> light{};
  for (std::size_t k = 0; k < 3; ++k) {
    const int high = HexDigit(hex[1 + 2 * k]), low = HexDigit(hex[2 + 2 * k]);
    if (high < 0 || low < 0) return std::nullopt;
    light[k] = LinearOfCoded((16 * high + low) / 255.0);
  }
  return LinearColour{light[0], light[1], light[2]};
}

std::string HexOfColour(const LinearColour& colour) {
  const auto code = [](double v) {
    return static_cast<int>(std::lround(255 * CodedOfLinear(std::clamp(v, 0.0, 1.0))));
  };
  return fmt::format("#{:02x}{:02x}{:02x}", code(colour.r), code(colour.g), code(colour.b));
}

Lab LabOf(const LinearColour& colour) {
  std::array<double, 3> f{};
  for (int i = 0; i < 3; ++i) {
    const double v = kXyz[i][0] * colour.r + kXyz[i][1] * colour.g + kXyz[i][2] * colour.b;
    f[static_cast<std::size_t>(i)] = Root(v / White(i));
  }
  return {116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])};
}

LinearColour ColourOfLab(const Lab& lab) {
  const double fy = (lab.L + 16) / 116;
  const double x = White(0) * Cube(fy + lab.a / 500), y = White(1) * Cube(fy), z = White(2) * Cube(fy - lab.b / 200);
  constexpr auto inverse = InverseXyz();
  const auto row = [&](std::size_t i) { return inverse[i][0] * x + inverse[i][1] * y + inverse[i][2] * z; };
  return {row(0), row(1), row(2)};
}

}  // namespace truepull
