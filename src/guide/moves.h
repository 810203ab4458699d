// SPDX-License-Identifier: Apache-2.0
// Moves in a printer's words: "0.5 right 1.0 down", "turn 0.5° ↻", "as it lies".
#ifndef TRUEPULL_SRC_GUIDE_MOVES_H_
#define TRUEPULL_SRC_GUIDE_MOVES_H_

#include <string>

#include "truepull/geometry.h"

namespace truepull {

/// A move as seen on the guide (y down), rounded to 0.5 mm and 0.5 degree.
struct RoundedMove {
  Point mm;
  double turn_deg = 0;
  bool none() const { return mm.x == 0 && mm.y == 0 && turn_deg == 0; }
};
RoundedMove Rounded(Point mm, double turn_rad, bool mirrored);

std::string ShiftWords(const RoundedMove& move);  // "0.5 right 1.0 down"; empty when none.
std::string TurnWords(const RoundedMove& move);   // "turn 0.5° ↻"; empty when none.
std::string MoveWords(const RoundedMove& move);   // Both, or "as it lies".

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_MOVES_H_
