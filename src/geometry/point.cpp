// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <numbers>

#include "truepull/geometry.h"

namespace truepull {

Rotation::Rotation(double turn_rad) {
  // Whole quarter turns must not leave a tile 1e-16 off the axis.
  const double quarters = turn_rad / (std::numbers::pi / 2);
  const double nearest = std::round(quarters);
  if (std::abs(quarters - nearest) < 1e-13) {
    switch (((static_cast<long long>(nearest) % 4) + 4) % 4) {
      case 0: c = 1, s = 0; return;
      case 1: c = 0, s = 1; return;
      case 2: c = -1, s = 0; return;
      default: c = 0, s = -1; return;
    }
  }
  c = std::cos(turn_rad);
  s = std::sin(turn_rad);
}

Point Apply(const Pose& pose, Point point_in_tile) {
  return pose.at + Rotation(pose.turn_rad) * point_in_tile;
}

Point ApplyInverse(const Pose& pose, Point point_in_sheet) {
  return Rotation(-pose.turn_rad) * (point_in_sheet - pose.at);
}

Outline Apply(const Pose& pose, std::span<const Point> outline_in_tile) {
  const Rotation turn(pose.turn_rad);
  Outline out;
  out.reserve(outline_in_tile.size());
  for (const Point& p : outline_in_tile) out.push_back(pose.at + turn * p);
  return out;
}

double WrapTurn(double turn_rad) {
  constexpr double kPi = std::numbers::pi;
  double t = std::remainder(turn_rad, 2 * kPi);
  if (t <= -kPi) t = kPi;
  return t;
}

PoseCovariance DiagonalCovariance(double sd_x_mm, double sd_y_mm, double sd_turn_rad) {
  return {sd_x_mm * sd_x_mm, 0, 0, 0, sd_y_mm * sd_y_mm, 0, 0, 0, sd_turn_rad * sd_turn_rad};
}

}  // namespace truepull
