// SPDX-License-Identifier: Apache-2.0
// What a layer over a layer looks like, and to whom.
#include "truepull/colour.h"

#include <algorithm>

namespace truepull {
namespace {

// Machado, Oliveira, Fernandes 2009, table for severity 1; linear sRGB.
constexpr double kNoRed[3][3] = {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}};
constexpr double kNoGreen[3][3] = {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}};
constexpr double kNoBlue[3][3] = {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}};

LinearColour Through(const double (&m)[3][3], const LinearColour& c) {
  const auto row = [&](int i) { return std::clamp(m[i][0] * c.r + m[i][1] * c.g + m[i][2] * c.b, 0.0, 1.0); };
  return {row(0), row(1), row(2)};
}

}  // namespace

LinearColour Overprint(const LinearColour& below, const LinearColour& ink, double opacity) {
  const double o = std::clamp(opacity, 0.0, 1.0);
  const auto mix = [o](double under, double over) { return (1 - o) * under * over + o * over; };
  return {mix(below.r, ink.r), mix(below.g, ink.g), mix(below.b, ink.b)};
}

LinearColour ReflectanceOn(const LinearColour& paper, const LinearColour& colour) {
  const auto over = [](double c, double p) { return c / std::max(p, 1e-3); };
  return {over(colour.r, paper.r), over(colour.g, paper.g), over(colour.b, paper.b)};
}

LinearColour AsSeenWith(ColourVision vision, const LinearColour& colour) {
  switch (vision) {
    case ColourVision::kNoRed: return Through(kNoRed, colour);
    case ColourVision::kNoGreen: return Through(kNoGreen, colour);
    case ColourVision::kNoBlue: return Through(kNoBlue, colour);
    default: return colour;
  }
}

double DifferenceForAllEyes(const LinearColour& a, const LinearColour& b) {
  double least = ColourDifference(LabOf(a), LabOf(b));
  for (const ColourVision v : {ColourVision::kNoRed, ColourVision::kNoGreen, ColourVision::kNoBlue}) {
    least = std::min(least, ColourDifference(LabOf(AsSeenWith(v, a)), LabOf(AsSeenWith(v, b))));
  }
  return least;
}

}  // namespace truepull
