// SPDX-License-Identifier: Apache-2.0
// A plan as YAML text; numbers are written so that they read back to the last digit.
#include <fmt/format.h>

#include <cmath>

#include "io/strict_number.h"
#include "truepull/plan_text.h"

namespace truepull {
namespace {

std::string Quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '\n') out += "\\n";
    else if (c == '\t') out += "\\t";
    else if (c == '\r') out += "\\r";
    else if (c == '"' || c == '\\') out += std::string("\\") + c;
    else out += c;
  }
  return out + '"';
}

// The degrees that read back as exactly this turn, with as few digits as will do. Going
// to degrees and back is off by the last digit for about one turn in four.
std::string Degrees(double turn_rad) {
  const double deg = DegFromRad(turn_rad);
  for (int digits = 1; digits <= 17; ++digits) {
    const double shorter = ReadStrictNumber(fmt::format("{:.{}g}", deg, digits)).value.value_or(deg);
    if (RadFromDeg(shorter) == turn_rad) return fmt::format("{}", shorter);
  }
  for (const double towards : {-1e9, 1e9}) {
    const double next = std::nextafter(deg, towards);
    if (RadFromDeg(next) == turn_rad) return fmt::format("{}", next);
  }
  return fmt::format("{}", deg);
}

std::string Pair(Point p) { return fmt::format("[{}, {}]", p.x, p.y); }

std::string OutlineText(const Outline& outline, const std::string& indent) {
  constexpr std::size_t kPerLine = 6;
  std::string out = "[";
  for (std::size_t i = 0; i < outline.size(); ++i) {
    if (i > 0) out += i % kPerLine == 0 ? ",\n" + indent + "  " : ", ";
    out += Pair(outline[i]);
  }
  return out + "]";
}

std::string SheetText(const Sheet& sheet) {
  std::string out = fmt::format("sheet:\n  width: {}\n  height: {}\n", sheet.width_mm, sheet.height_mm);
  if (sheet.sd_mm > 0) out += fmt::format("  sd: {}\n", sheet.sd_mm);
  if (sheet.grain != Grain::kUnknown) out += fmt::format("  grain: {}\n", sheet.grain == Grain::kX ? "x" : "y");
  std::string stretch;
  if (sheet.stretch_along_percent) stretch += fmt::format("along_grain: {}", *sheet.stretch_along_percent);
  if (sheet.stretch_across_percent) {
    stretch += fmt::format("{}across_grain: {}", stretch.empty() ? "" : ", ", *sheet.stretch_across_percent);
  }
  if (!stretch.empty()) out += "  stretch: {" + stretch + "}\n";
  return out;
}

std::string PlateText(const Plate& plate, const std::string& indent) {
  std::string out = indent + "outline: " + OutlineText(plate.outline, indent) + "\n";
  if (plate.prints_measured) out += indent + "prints: measured\n";
  else if (plate.prints != 1) out += fmt::format("{}prints: {}\n", indent, plate.prints);
  if (plate.body) {
    out += fmt::format("{}body: [[{}, {}], [{}, {}]]\n", indent, plate.body->left, plate.body->top, plate.body->right,
                       plate.body->bottom);
  }
  if (!plate.drawing.empty()) out += indent + "drawing: " + Quoted(plate.drawing) + "\n";
  return out;
}

std::string PlatesText(const std::vector<Plate>& plates) {
  if (plates.size() == 1 && plates[0].name == "tile") return "tile:\n" + PlateText(plates[0], "  ");
  std::string out = "plates:\n";
  for (const Plate& plate : plates) out += "  " + Quoted(plate.name) + ":\n" + PlateText(plate, "    ");
  return out;
}

std::string LatticeText(const Plan& plan) {
  const Lattice& l = plan.lattice;
  const auto count = [](bool fit, int n) { return fit ? std::string("fit") : std::to_string(n); };
  std::string out = "lattice:\n  origin: " + (l.fit_origin ? std::string("fit") : Pair(l.origin)) + "\n";
  if (l.fit_turn) out += "  turn: fit\n";
  out += "  across: " + Pair(l.across) + "\n  down: " + Pair(l.down) + "\n";
  out += "  rows: " + count(l.fit_rows, l.rows) + "\n  columns: " + count(l.fit_columns, l.columns) + "\n";
  if (l.turns_rad != std::vector<double>{0.0}) {
    out += "  turns: [";
    for (std::size_t i = 0; i < l.turns_rad.size(); ++i) out += (i > 0 ? ", " : "") + Degrees(l.turns_rad[i]);
    out += "]\n";
  }
  if (l.stagger_rows != 0) out += fmt::format("  stagger: {{rows: {}}}\n", l.stagger_rows);
  if (l.stagger_columns != 0) out += fmt::format("  stagger: {{columns: {}}}\n", l.stagger_columns);
  const bool plain = plan.plates.size() == 1 && l.cell.size() == 1 && l.cell[0].at == Point{} &&
                     l.cell[0].turn_rad == 0 && !l.cell[0].mirrored;
  if (plain) return out;
  out += "  cell:\n";
  for (const CellMember& m : l.cell) {
    out += fmt::format("    - {{plate: {}, at: {}, turn: {}, mirrored: {}}}\n",
                       Quoted(plan.plates[static_cast<std::size_t>(m.plate)].name), Pair(m.at),
                       Degrees(m.turn_rad), m.mirrored);
  }
  return out;
}

std::string ColoursText(const Plan& plan) {
  std::string out;
  if (!plan.edge_colour.empty()) out += "edge_colour: " + Quoted(plan.edge_colour) + "\n";
  if (!plan.colours.empty()) {
    out += "colours: [";
    for (std::size_t i = 0; i < plan.colours.size(); ++i) out += (i > 0 ? ", " : "") + Quoted(plan.colours[i]);
    out += "]\n";
  }
  if (plan.colour_map.empty()) return out;
  out += "colour_map:\n";
  for (const auto& row : plan.colour_map) out += fmt::format("  - [{}]\n", fmt::join(row, ", "));
  return out;
}

std::string PassText(const Pass& pass) {
  constexpr const char* kOpacities[] = {"transparent", "half", "opaque"};
  constexpr const char* kKinds[] = {"layer", "key", "reduction", "glaze"};
  std::string out = "  - name: " + Quoted(pass.name) + "\n";
  if (!pass.colour.empty()) out += "    colour: " + Quoted(pass.colour) + "\n";
  if (pass.opacity) out += fmt::format("    opacity: {}\n", kOpacities[static_cast<int>(*pass.opacity)]);
  if (!pass.outline.empty()) out += "    outline: " + OutlineText(pass.outline, "    ") + "\n";
  if (pass.plate == PassPlate::kBlock) {
    out += fmt::format("    plate: block\n    sites: [{}, {}]\n", pass.block_rows, pass.block_columns);
  }
  if (pass.plate == PassPlate::kSheet) out += "    plate: sheet\n";
  if (pass.registers_to != "first") out += "    registers_to: " + Quoted(pass.registers_to) + "\n";
  if (pass.kind != PassKind::kLayer) out += fmt::format("    kind: {}\n", kKinds[static_cast<int>(pass.kind)]);
  if (pass.pulled != SheetState::kUnknown) {
    out += fmt::format("    pulled: {}\n", pass.pulled == SheetState::kDry ? "dry" : "damp");
  }
  return out;
}

}  // namespace

std::string WritePlan(const Plan& plan) {
  std::string out = "truepull: 1\n";
  if (!plan.title.empty()) out += "title: " + Quoted(plan.title) + "\n";
  out += SheetText(plan.sheet) + PlatesText(plan.plates) + LatticeText(plan) + ColoursText(plan);
  const Tolerance standard;
  if (plan.tolerance.shift_mm != standard.shift_mm || plan.tolerance.turn_rad != standard.turn_rad) {
    out += fmt::format("tolerance: {{shift: {}, turn: {}}}\n", plan.tolerance.shift_mm,
                       Degrees(plan.tolerance.turn_rad));
  }
  if (!plan.passes.empty()) {
    out += "passes:\n";
    for (const Pass& pass : plan.passes) out += PassText(pass);
  }
  return out;
}

}  // namespace truepull
