// SPDX-License-Identifier: Apache-2.0
// Seeded chance for the tests of laws.
#ifndef TRUEPULL_TESTS_SUPPORT_RANDOM_H_
#define TRUEPULL_TESTS_SUPPORT_RANDOM_H_

#include <cmath>
#include <numbers>
#include <random>

#include "truepull/geometry.h"

namespace truepull::testing {

class Chance {
 public:
  explicit Chance(unsigned seed) : generator_(seed) {}
  double Number(double low, double high) { return std::uniform_real_distribution<>(low, high)(generator_); }
  int Whole(int low, int high) { return std::uniform_int_distribution<>(low, high)(generator_); }
  Point PointWithin(double reach) { return {Number(-reach, reach), Number(-reach, reach)}; }
  Pose PoseWithin(double reach) { return {PointWithin(reach), Number(-7, 7)}; }
  /// Star-shaped about (0, 0), so that it never crosses itself; clockwise as seen.
  Outline Star(int points, double least = 5, double most = 30) {
    Outline outline;
    for (int i = 0; i < points; ++i) {
      const double turn = 2 * std::numbers::pi * i / points, r = Number(least, most);
      outline.push_back({r * std::cos(turn), r * std::sin(turn)});
    }
    return outline;
  }

 private:
  std::mt19937 generator_;
};

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_RANDOM_H_
