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

// A cell in quotes where it must be (RFC 4180).
std::string Cell(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c == '\n' || c == '\r' ? ' ' : c;
  }
  return out + "\"";
}

std::string Mean(const std::optional<SeamOutlook::Gap>& gap) { return gap ? Number(gap->mean_mm) : ""; }
std::string Worst(const std::optional<SeamOutlook::Gap>& gap) { return gap ? Number(gap->worst_mm) : ""; }

}  // namespace

std::string WriteSeamsCsv(const std::vector<SeamOutlook>& seams) {
  std::string out =
      "row,column,neighbour_row,neighbour_column,gap_mm_found,gap_mm_register,gap_mm_fit,gap_mm_chosen,"
      "worst_mm_found,worst_mm_register,worst_mm_fit,worst_mm_chosen\n";
  for (const SeamOutlook& s : seams) {
    out += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{}\n", s.a.row, s.a.column, s.b.row, s.b.column, Mean(s.found),
                       Mean(s.on_register), Mean(s.fit), Mean(s.chosen), Worst(s.found), Worst(s.on_register),
                       Worst(s.fit), Worst(s.chosen));
  }
  return out;
}

std::string WriteMisregisterCsv(const NextPass& next) {
  std::string out = "row,column,misregister_mm_register,misregister_mm_fit,misregister_mm_chosen\n";
  for (std::size_t i = 0; i < next.placements.size(); ++i) {
    const Placement& p = next.placements[i];
    out += fmt::format("{},{},", p.site.row, p.site.column);
    // In the register extreme a plate lies on its impression.
    if (p.register_mm) out += fmt::format("{},{},{}\n", Number(0), Number(Norm(next.fit[i].at - next.on_register[i].at)), Number(*p.register_mm));
    else out += ",,\n";
  }
  return out;
}

std::string WritePlacementsCsv(const std::vector<Placement>& placements) {
  std::string out =
      "row,column,action,x_mm,y_mm,turn_deg,from_ideal_dx_mm,from_ideal_dy_mm,from_ideal_dturn_deg,"
      "order,register_mm,reason\n";
  for (const Placement& p : placements) {
    out += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{}\n", p.site.row, p.site.column, NameOf(p.action),
                       Number(p.place.at.x), Number(p.place.at.y), Number(DegFromRad(p.place.turn_rad)),
                       Number(p.from_ideal.x), Number(p.from_ideal.y),
                       Number(DegFromRad(p.from_ideal_turn_rad)), p.order > 0 ? fmt::format("{}", p.order) : "",
                       p.register_mm ? Number(*p.register_mm) : "", Cell(p.reason));
  }
  return out;
}

}  // namespace truepull
