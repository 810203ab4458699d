// SPDX-License-Identifier: Apache-2.0
// Outlines with a known way of repeating, for tests.
#ifndef TRUEPULL_TESTS_TILING_SHAPES_H_
#define TRUEPULL_TESTS_TILING_SHAPES_H_

#include <cmath>
#include <random>

#include "truepull/geometry.h"

namespace truepull::testing_shapes {

/// A wavy line from a to b, without b, of `points` points; the wave is off the chord by up
/// to about an eighth of its length.
inline Outline WavyLine(Point a, Point b, int points, std::mt19937& random) {
  std::uniform_real_distribution<double> d(-1, 1);
  const double w1 = d(random), w2 = d(random), w3 = d(random);
  const Point chord = b - a, normal{-chord.y, chord.x};
  Outline line;
  for (int i = 0; i < points; ++i) {
    const double t = static_cast<double>(i) / points, p = 3.14159265358979 * t;
    const double off = 0.07 * (w1 * std::sin(p) + w2 * std::sin(2 * p) + w3 * std::sin(3 * p));
    line.push_back(a + t * chord + off * normal);
  }
  return line;
}

/// A tile that repeats by the steps u and v: a six-sided one whose corner is off by `cut`,
/// each pair of sides one wavy line.
inline Outline ShiftTileOnce(Point u, Point v, Point cut, int points, std::mt19937& random) {
  // A = cut, B = u - cut, C = v + cut: the steps are A + B = u and C - A = v.
  const Point corners[4] = {{0, 0}, cut, u, u + v + cut};
  Outline half;
  for (int k = 0; k < 3; ++k) {
    const Outline line = WavyLine(corners[k], corners[k + 1], points, random);
    half.insert(half.end(), line.begin(), line.end());
  }
  half.push_back(corners[3]);
  Outline tile(half.begin(), half.end() - 1);
  const std::size_t n = static_cast<std::size_t>(points);
  for (std::size_t k = 0; k < 3; ++k) {
    // Stretch k runs half[k n] .. half[(k + 1) n]; its partner is walked backward.
    const Point start = corners[3] - half[k * n];  // As after k whole stretches backward.
    const Point shift = start - half[(k + 1) * n];
    for (std::size_t i = 0; i < n; ++i) tile.push_back(half[(k + 1) * n - i] + shift);
  }
  return tile;
}

/// The same, drawn anew until the outline does not cross itself.
inline Outline ShiftTile(Point u, Point v, Point cut, int points, std::mt19937& random) {
  for (;;) {
    const Outline tile = ShiftTileOnce(u, v, cut, points, random);
    if (!FindSelfCrossing(tile)) return tile;
  }
}

/// A tile whose every side looks alike after a half turn about its middle.
inline Outline HalfTurnTile(const Outline& corners, int points, std::mt19937& random) {
  Outline tile;
  for (std::size_t k = 0; k < corners.size(); ++k) {
    const Point a = corners[k], b = corners[(k + 1) % corners.size()];
    const Point middle = 0.5 * (a + b);
    const Outline line = WavyLine(a, middle, points, random);
    tile.insert(tile.end(), line.begin(), line.end());
    tile.push_back(middle);
    for (std::size_t i = line.size(); i-- > 1;) tile.push_back(a + b - line[i]);
  }
  return tile;
}

/// An outline as scissors would cut it: walked in steps of about 0.35 mm, each point off the
/// line by a smooth wander of standard deviation `sd_mm` whose swings are some 8 mm long.
inline Outline CutOnce(const Outline& drawn, double sd_mm, std::mt19937& random) {
  const auto samples = SampleOutline(drawn, 0.35, 0.5);
  const std::size_t n = samples.size();
  std::normal_distribution<double> gauss;
  std::vector<double> white(n), off(n, 0.0);
  for (double& w : white) w = gauss(random);
  double power = 0;
  constexpr int kReach = 18;
  for (int k = -kReach; k <= kReach; ++k) power += std::exp(-k * k / 72.0) * std::exp(-k * k / 72.0);
  for (std::size_t i = 0; i < n; ++i) {
    for (int k = -kReach; k <= kReach; ++k) {
      const auto at = (static_cast<long>(i) + k + static_cast<long>(n)) % static_cast<long>(n);
      off[i] += std::exp(-k * k / 72.0) * white[static_cast<std::size_t>(at)];
    }
    off[i] *= sd_mm / std::sqrt(power);
  }
  Outline cut;
  for (std::size_t i = 0; i < n; ++i) cut.push_back(samples[i].at + off[i] * samples[i].outward);
  return cut;
}

/// The same, cut anew until the outline does not cross itself at a sharp corner.
inline Outline Cut(const Outline& drawn, double sd_mm, std::mt19937& random) {
  for (;;) {
    const Outline cut = CutOnce(drawn, sd_mm, random);
    if (!FindSelfCrossing(cut)) return cut;
  }
}

}  // namespace truepull::testing_shapes

#endif  // TRUEPULL_TESTS_TILING_SHAPES_H_
