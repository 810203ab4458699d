// SPDX-License-Identifier: Apache-2.0
// Colours in words, by where they lie in Lab: hue sectors, with the names that light and dark
// colours of one hue go by (dark orange is brown, dark yellow olive, pale red pink).
#include <cmath>
#include <numbers>

#include "truepull/colour.h"

namespace truepull {
namespace {

// Where each hue begins, degrees of Lab's hue circle. Pure sRGB colours for comparison: red
// 40, orange 68, yellow 103, green 136, cyan 196, blue 306, violet 312, magenta 328.
const char* HueWord(double hue, double lightness, double chroma) {
  if (hue < 10 || hue >= 345) return lightness > 65 ? "pink" : "red";
  if (hue < 48) return lightness > 75 ? "pink" : "red";
  if (hue < 80) return lightness < 52 ? "brown" : "orange";
  if (hue < 112) return lightness < 55 ? "olive" : "yellow";
  if (hue < 175) return "green";
  if (hue < 230) return "blue-green";
  if (hue < 300 || (hue < 308 && chroma > 80)) return "blue";  // A full blue leans to violet.
  return hue < 330 ? "violet" : "purple";
}

}  // namespace

std::string NameOfColour(const Lab& lab) {
  const double chroma = std::hypot(lab.a, lab.b);
  // Under 6 the eye sees no hue; dark colours need more.
  if (chroma < 6 || (lab.L < 12 && chroma < 10)) {
    if (lab.L < 14) return "black";
    if (lab.L < 42) return "dark grey";
    if (lab.L < 70) return "grey";
    return lab.L < 93 ? "pale grey" : "white";
  }
  double hue = std::atan2(lab.b, lab.a) * 180 / std::numbers::pi;
  if (hue < 0) hue += 360;
  const std::string word = HueWord(hue, lab.L, chroma);
  if (chroma < 14) return "greyish " + word;
  if (lab.L < 32) {
    // Full blue is darker than any other full colour, yet nobody calls it dark.
    return chroma > 90 ? word : "dark " + word;
  }
  if (lab.L > 76 && word != "yellow" && word != "pink" && chroma < 60) return "pale " + word;
  return word;
}

}  // namespace truepull
