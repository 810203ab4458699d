// SPDX-License-Identifier: Apache-2.0
// Units: millimetres and radians inside; degrees, inches and points only at the edges.
#ifndef TRUEPULL_UNITS_H_
#define TRUEPULL_UNITS_H_

#include <numbers>

namespace truepull {

inline constexpr double kMmPerInch = 25.4;           // Exact, by definition of the inch.
inline constexpr double kPointsPerInch = 72.0;       // PDF user space, ISO 32000.
inline constexpr double kPointsPerMm = kPointsPerInch / kMmPerInch;

constexpr double RadFromDeg(double deg) { return deg * (std::numbers::pi / 180.0); }
constexpr double DegFromRad(double rad) { return rad * (180.0 / std::numbers::pi); }

}  // namespace truepull

#endif  // TRUEPULL_UNITS_H_
