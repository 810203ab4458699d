// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "truepull/corrections_text.h"

namespace truepull {
namespace {

// Fixed decimals, never "-0.0000".
std::string Number(double v) {
  std::string s = fmt::format("{:.4f}", v);
  return s == "-0.0000" ? "0.0000" : s;
}

}  // namespace

std::string WritePlacementsCsv(const std::vector<Placement>& placements) {
  std::string out =
      "row,column,action,x_mm,y_mm,turn_deg,from_ideal_dx_mm,from_ideal_dy_mm,from_ideal_dturn_deg\n";
  for (const Placement& p : placements) {
    out += fmt::format("{},{},{},{},{},{},{},{},{}\n", p.site.row, p.site.column, NameOf(p.action),
                       Number(p.place.at.x), Number(p.place.at.y), Number(DegFromRad(p.place.turn_rad)),
                       Number(p.from_ideal.x), Number(p.from_ideal.y),
                       Number(DegFromRad(p.from_ideal_turn_rad)));
  }
  return out;
}

}  // namespace truepull
