// SPDX-License-Identifier: Apache-2.0
// The thirty tiles of a class, six of them faulty.
#ifndef TRUEPULL_TESTS_TILING_HANDED_IN_H_
#define TRUEPULL_TESTS_TILING_HANDED_IN_H_

#include <algorithm>
#include <cmath>
#include <random>
#include <utility>
#include <vector>

#include "tiling/shapes.h"
#include "truepull/tiling.h"

namespace truepull::testing_shapes {

// Greatest distance of the points of one outline from the other.
inline double FarthestFrom(const Outline& a, const Outline& b) {
  double most = 0;
  for (const Point& p : a) most = std::max(most, std::abs(SignedDistance(b, p)));
  return most;
}

// Thirty tiles as a class hands them in, hand-cut (sd 0.08 mm), six of them faulty: two with
// a side slipped by 1 mm, two with a piece lost, two with an edge mirrored.
enum class Fault { kNone, kSlipped, kPieceLost, kMirrored };

struct HandedIn {
  Outline outline;
  Fault fault = Fault::kNone;
  Point from, to;  // Where the faulty stretch begins and ends.
};

inline HandedIn MakeHandedIn(int number, std::mt19937& random) {
  static const std::vector<std::pair<int, Fault>> kFaults{
      {3, Fault::kSlipped}, {8, Fault::kPieceLost}, {12, Fault::kMirrored},
      {17, Fault::kSlipped}, {22, Fault::kPieceLost}, {27, Fault::kMirrored}};
  for (;;) {
    const int points = 16;
    const std::size_t n = static_cast<std::size_t>(points);
    Outline drawn;
    if (number % 3 == 2) {
      drawn = HalfTurnTile({{0, 0}, {68, 5}, {76, 50}, {-4, 62}}, points / 2, random);
    } else {
      drawn = ShiftTile({75, 3.0 * (number % 4)}, {-5, 58}, {11, 10}, points, random);
    }
    HandedIn in;
    for (const auto& [which, fault] : kFaults) {
      if (which == number) in.fault = fault;
    }
    // The second stretch is the long top side in both makes.
    const std::size_t a = number % 3 == 2 ? 0 : n, b = a + n;
    in.from = drawn[a];
    in.to = drawn[b];
    const Point chord = drawn[b] - drawn[a];
    const Point along = (1 / Norm(chord)) * chord, across{-along.y, along.x};
    double most = 0;
    for (std::size_t i = a; i <= b; ++i) most = std::max(most, std::abs(Dot(drawn[i] - drawn[a], across)));
    if (in.fault != Fault::kNone && most < 4) continue;  // A straight side has no fault to show.
    if (in.fault == Fault::kSlipped) {
      // The taped piece sits 1 mm too far along, its ends still at the corners.
      const Outline before = drawn;
      for (std::size_t i = a + 1; i < b; ++i) drawn[i] = drawn[i] + along;
      // Along a nearly straight side a slip moves the line by less than scissors do.
      if (FarthestFrom(drawn, before) < 0.7) continue;
    } else if (in.fault == Fault::kPieceLost) {
      // A bit of 1.5 mm broke off in the middle of the side.
      const double side = SignedArea(drawn) > 0 ? 1 : -1;
      for (std::size_t i = a + 6; i <= a + 9; ++i) drawn[i] = drawn[i] + 1.5 * side * across;
    } else if (in.fault == Fault::kMirrored) {
      for (std::size_t i = a + 1; i < b; ++i) {
        drawn[i] = drawn[i] - 2 * Dot(drawn[i] - drawn[a], across) * across;
      }
    }
    // Tips sharper than 25 degrees are warned of elsewhere and no scissors cut them true.
    if (FindSelfCrossing(drawn) || !FindWeakPlaces(drawn).empty()) continue;
    in.outline = Cut(drawn, 0.08, random);
    return in;
  }
}

}  // namespace truepull::testing_shapes

#endif  // TRUEPULL_TESTS_TILING_HANDED_IN_H_
