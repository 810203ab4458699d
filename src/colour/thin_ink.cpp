// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "truepull/colour.h"

namespace truepull {
namespace {

// Light that a layer of `thickness` (1: the ink as it was named) leaves when it covers
// `cover` of the paper; Beer-Lambert by primary.
LinearColour Thinned(const LinearColour& ink, double thickness, double cover) {
  const auto one = [&](double r) { return 1 - cover + cover * std::pow(std::max(r, 0.002), thickness); };
  return {one(ink.r), one(ink.g), one(ink.b)};
}

double Luminance(const LinearColour& c) { return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b; }

}  // namespace

double DifferenceAsInk(const LinearColour& measured, const LinearColour& ink) {
  const Lab target = LabOf(measured);
  const double light = Luminance(measured);
  double least = 1e9;
  for (const double cover : {1.0, 0.85, 0.7, 0.5, 0.33}) {
    // Lightness tells the thickness; only hue and chroma are left to compare.
    double low = 0.3, high = 1.5;
    for (int step = 0; step < 7; ++step) {
      const double middle = 0.5 * (low + high);
      (Luminance(Thinned(ink, middle, cover)) > light ? low : high) = middle;
    }
    least = std::min(least, ColourDifference(target, LabOf(Thinned(ink, 0.5 * (low + high), cover))));
  }
  return least;
}

}  // namespace truepull
