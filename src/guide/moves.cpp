// SPDX-License-Identifier: Apache-2.0
#include "guide/moves.h"

#include <fmt/format.h>

#include <cmath>

#include "truepull/units.h"

namespace truepull {
namespace {

// To halves; a hand does no better. Never minus nought.
double ToHalves(double v) { return std::round(2 * v) / 2 + 0.0; }

}  // namespace

RoundedMove Rounded(Point mm, double turn_rad, bool mirrored) {
  const double side = mirrored ? -1 : 1;
  return {{ToHalves(side * mm.x), ToHalves(mm.y)}, ToHalves(side * DegFromRad(turn_rad))};
}

std::string ShiftWords(const RoundedMove& m) {
  std::string out;
  if (m.mm.x != 0) out = fmt::format("{:.1f} {}", std::abs(m.mm.x), m.mm.x > 0 ? "right" : "left");
  if (m.mm.y != 0) {
    out += fmt::format("{}{:.1f} {}", out.empty() ? "" : " ", std::abs(m.mm.y), m.mm.y > 0 ? "down" : "up");
  }
  return out;
}

std::string TurnWords(const RoundedMove& m) {
  if (m.turn_deg == 0) return "";
  return fmt::format("turn {:.1f}° {}", std::abs(m.turn_deg), m.turn_deg > 0 ? "↻" : "↺");
}

std::string MoveWords(const RoundedMove& m) {
  if (m.none()) return "as it lies";
  const std::string shift = ShiftWords(m), turn = TurnWords(m);
  return shift + (shift.empty() || turn.empty() ? "" : " ") + turn;
}

}  // namespace truepull
