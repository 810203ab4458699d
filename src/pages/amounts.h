// SPDX-License-Identifier: Apache-2.0
// Amounts in words: as many digits as a printer can use, never the sign.
#ifndef TRUEPULL_PAGES_AMOUNTS_H_
#define TRUEPULL_PAGES_AMOUNTS_H_

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <string>

#include "geometry/fixed_text.h"
#include "truepull/geometry.h"
#include "truepull/units.h"

namespace truepull {

/// One decimal, or two below 0.095 where one would say nothing.
inline std::string Amount(double value) {
  const double size = std::abs(value);
  return Fixed(size, size < 0.095 ? 2 : 1);
}
inline std::string AmountMm(double mm) { return Amount(mm) + " mm"; }
inline std::string AmountDeg(double rad) {
  const std::string text = Amount(DegFromRad(rad));
  return text + (text == "1.0" ? " degree" : " degrees");
}
inline std::string AmountPercent(double ratio) { return Amount(100 * ratio) + " %"; }

/// "right", "right and down", ...: by the nearest eighth of a turn; empty for no way.
inline std::string Direction(Point d) {
  if (Norm(d) < 0.005) return "";
  constexpr const char* kWays[] = {"right", "right and down", "down", "left and down",
                                   "left",  "left and up",    "up",   "right and up"};
  const int eighth = static_cast<int>(std::lround(std::atan2(d.y, d.x) / (std::numbers::pi / 4)));
  return kWays[(eighth + 8) % 8];
}

}  // namespace truepull

#endif  // TRUEPULL_PAGES_AMOUNTS_H_
