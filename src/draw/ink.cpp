// SPDX-License-Identifier: Apache-2.0
#include "draw/ink.h"

namespace truepull {

Rgb ColourOf(Ink ink) {
  switch (ink) {
    case Ink::kBlue: return {16, 42, 122};
    case Ink::kOrange: return {190, 84, 0};
    case Ink::kGrey: return {120, 120, 120};
    case Ink::kPale: return {214, 222, 238};
    default: return {0, 0, 0};
  }
}

std::vector<double> PatternOf(Dash dash) {
  switch (dash) {
    case Dash::kLong: return {6, 1.5};
    case Dash::kShort: return {2.2, 1.2};
    case Dash::kDots: return {0.5, 1.5};
    default: return {};
  }
}

}  // namespace truepull
