// SPDX-License-Identifier: Apache-2.0
// A reading as YAML text and as a table.
#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"
#include "io/colours_text.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

std::string Quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '\n' || c == '\t' || c == '\r') out += ' ';
    else if (c == '"' || c == '\\') out += std::string("\\") + c;
    else if (static_cast<unsigned char>(c) >= 0x20 && c != 0x7F) out += c;
  }
  return out + '"';
}

std::string Mm(double v) { return Fixed(v, 6); }
std::string Deg(double rad) { return Fixed(DegFromRad(rad), 7); }
std::string Percent(double ratio) { return Fixed(100 * ratio, 4); }

std::string Words(const char* key, const std::vector<std::string>& sentences) {
  if (sentences.empty()) return fmt::format("{}: []\n", key);
  std::string out = fmt::format("{}:\n", key);
  for (const std::string& s : sentences) out += "  - " + Quoted(s) + "\n";
  return out;
}

std::string CameraText(const SheetReading& sheet) {
  const SheetCamera& c = sheet.camera;
  return fmt::format(
      "photo_size: [{}, {}]  # pixels, upright\n"
      "camera:  # from millimetres on the sheet to pixels of the upright photo; see docs/method.md\n"
      "  h: [{}]\n  k1: {}\n  k2: {}\n  centre: [{}, {}]\n  focal: {}\n",
      sheet.photo_width_px, sheet.photo_height_px, fmt::join(c.h, ", "), c.k1, c.k2, c.centre.x,
      c.centre.y, c.focal_px);
}

// `plate:` for the one plate, `plates:` by name; the outline can stand in a plan as it is.
std::string PlatesText(const std::vector<PlateReading>& plates, bool several) {
  if (plates.empty()) return "";
  std::string out = several ? "plates:  # as they really are, where the plan has them otherwise\n"
                            : "plate:  # as it really is; the outline can be the plan's tile\n";
  for (const PlateReading& p : plates) {
    std::string indent = "  ";
    if (several) {
      out += "  " + Quoted(p.plate) + ":\n";
      indent = "    ";
    }
    if (p.size != 1) out += fmt::format("{0}size: {1}  # per cent of the plan's\n{0}sd_size: {2}\n", indent, Percent(p.size), Percent(p.sd_size));
    if (!p.sides.empty()) out += indent + "sides:  # mm outwards, as printed\n";
    for (const PlateSide& s : p.sides) {
      out += fmt::format("{}  - {{side: {}, mm: {}, sd: {}, length: {}}}\n", indent, s.side, Fixed(s.mm, 4), Fixed(s.sd_mm, 4),
                         Fixed(s.length_mm, 1));
    }
    out += indent + "outline: [";
    for (std::size_t i = 0; i < p.outline.size(); ++i) {
      out += fmt::format("{}[{}, {}]", i == 0 ? "" : i % 8 == 0 ? ",\n" + indent + "  " : ", ", Fixed(p.outline[i].x, 4), Fixed(p.outline[i].y, 4));
    }
    out += "]\n";
  }
  return out;
}

std::string SheetPartText(const DriftReport& drift, const Plan& plan) {
  if (!drift.sheet_part) return "";
  const SheetPart& p = *drift.sheet_part;
  std::string out = fmt::format(
      "sheet_part:  # the sheet's own share of the drift; sd: standard uncertainty\n"
      "  about: [{}, {}]\n  shift: [{}, {}]  # mm\n  sd_shift: [{}, {}]\n",
      Mm(p.centre.x), Mm(p.centre.y), Mm(p.shift.x), Mm(p.shift.y), Mm(p.sd_shift_x_mm),
      Mm(p.sd_shift_y_mm));
  if (p.has_turn) {
    out += fmt::format("  turn: {}  # degrees, clockwise\n  sd_turn: {}\n", Deg(p.turn_rad), Deg(p.sd_turn_rad));
  }
  const auto named = [&](bool x) -> const char* {
    if (plan.sheet.grain == Grain::kUnknown) return x ? "x" : "y";
    return (plan.sheet.grain == Grain::kX) == x ? "along_grain" : "across_grain";
  };
  if (p.has_stretch_x) {
    out += fmt::format("  stretch_{0}: {1}  # per cent\n  sd_stretch_{0}: {2}\n", named(true),
                       Percent(p.stretch_x), Percent(p.sd_stretch_x));
  }
  if (p.has_stretch_y) {
    out += fmt::format("  stretch_{0}: {1}  # per cent\n  sd_stretch_{0}: {2}\n", named(false),
                       Percent(p.stretch_y), Percent(p.sd_stretch_y));
  }
  if (p.has_shear) {
    out += fmt::format("  shear: {}  # per cent\n  sd_shear: {}\n", Percent(p.shear), Percent(p.sd_shear));
  }
  return out;
}

std::string HandText(const DriftReport& drift) {
  if (!drift.has_hand_sd) return "";
  return fmt::format(
      "hand:  # spread of what is left, per axis; habit: a turn common to the tiles\n"
      "  sd: {}  # mm\n  sd_turn: {}  # degrees\n  habit_turn: {}\n",
      Mm(drift.hand_sd_mm), Deg(drift.hand_sd_turn_rad), Deg(drift.hand_habit_turn_rad));
}

std::string BlocksText(const DriftReport& drift) {
  if (drift.blocks.empty()) return "";
  std::string out = "blocks:  # one pose each: mm and degrees off their planned place; cut: what is left at a site, the block's cutting\n";
  for (const BlockPose& b : drift.blocks) {
    out += fmt::format("  - {{from: {}, to: {}, pulls: {}", SiteLabel(b.first), SiteLabel(b.last), b.pulls);
    if (b.pulls > 0) out += fmt::format(", shift: [{}, {}], sd_shift: {}", Mm(b.shift.x), Mm(b.shift.y), Mm(b.sd_shift_mm));
    if (b.has_turn) out += fmt::format(", turn: {}, sd_turn: {}", Deg(b.turn_rad), Deg(b.sd_turn_rad));
    if (b.has_cut) out += fmt::format(", cut_sd: {}, worst: {}, worst_mm: {}", Mm(b.cut_sd_mm), SiteLabel(b.worst), Mm(b.worst_mm));
    out += "}\n";
  }
  return out;
}

double Correlation(double covariance, double sd_a, double sd_b) {
  return sd_a > 0 && sd_b > 0 ? std::clamp(covariance / (sd_a * sd_b), -1.0, 1.0) : 0;
}

std::string SiteText(const SiteReading& r, const SiteDrift& d, bool of_block) {
  std::string out = fmt::format("  - {{site: {}, row: {}, column: {}, state: {}", SiteLabel(r.site),
                                r.site.row, r.site.column, NameOf(r.state));
  if (r.state == SiteState::kMissing) return out + fmt::format(", coverage: {}}}\n", Fixed(r.coverage, 6));
  const PoseCovariance& c = r.covariance;
  const double sx = std::sqrt(c[0]), sy = std::sqrt(c[4]), st = std::sqrt(c[8]);
  out += fmt::format(", x: {}, y: {}, turn: {},\n", Mm(r.found.at.x), Mm(r.found.at.y), Deg(r.found.turn_rad));
  out += fmt::format("     dx: {}, dy: {}, dturn: {}, hand: [{}, {}, {}],\n", Mm(d.shift.x), Mm(d.shift.y),
                     Deg(d.turn_rad), Mm(d.hand_shift.x), Mm(d.hand_shift.y), Deg(d.hand_turn_rad));
  if (of_block) out += fmt::format("     cut: [{}, {}, {}],\n", Mm(d.cut_shift.x), Mm(d.cut_shift.y), Deg(d.cut_turn_rad));
  out += fmt::format("     sd: [{}, {}, {}], correlation: [{}, {}, {}],\n", Mm(sx), Mm(sy), Deg(st),
                     Fixed(Correlation(c[1], sx, sy), 6), Fixed(Correlation(c[2], sx, st), 6),
                     Fixed(Correlation(c[5], sy, st), 6));
  out += fmt::format("     coverage: {}, strength: {}, growth: {}", Fixed(r.coverage, 6), Fixed(r.strength, 6),
                     Mm(r.growth_mm));
  if (!r.body_colour.empty()) out += ", body_colour: " + Quoted(r.body_colour);
  if (r.colour >= 0) out += fmt::format(", colour: {}", r.colour);
  return out + "}\n";
}

std::string SeamsText(const DriftReport& drift) {
  if (drift.seams.empty()) return "seams: []\n";
  std::string out = "seams:  # mm; gap > 0, overlap < 0\n";
  for (const Seam& s : drift.seams) {
    out += fmt::format("  - {{between: [{}, {}], mean: {}, sd: {}, worst: {}, length: {}}}\n", SiteLabel(s.a),
                       SiteLabel(s.b), Fixed(s.mean_gap_mm, 4), Fixed(s.sd_mean_gap_mm, 4),
                       Fixed(s.worst_gap_mm, 4), Fixed(s.length_mm, 1));
  }
  return out;
}

std::string EdgesText(const Reading& reading) {
  if (reading.sheet.plate_edges.empty()) return "";
  std::string out =
      "plate_edges:  # how far the printed edge lies outside the fitted outline, over all pulls of a plate: on\n"
      "  # equal stretches of the outline from its first point on; mm, and standard uncertainty\n";
  for (const PlateEdges& e : reading.sheet.plate_edges) {
    const auto list = [](const std::vector<double>& v) {
      std::string text;
      for (const double x : v) text += (text.empty() ? "" : ", ") + Fixed(x, 4);
      return text;
    };
    out += fmt::format("  - {{plate: {}, mirrored: {}, out: [{}],\n     sd: [{}]}}\n", e.plate, e.mirrored, list(e.out_mm), list(e.sd_mm));
  }
  return out;
}

std::string Indented(const std::string& text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size() - 1);
    out += "  " + text.substr(at, end + 1 - at);
    at = end + 1;
  }
  return out;
}

}  // namespace

std::string WriteReading(const Reading& reading, const DriftReport& drift) {
  const SheetReading& sheet = reading.sheet;
  constexpr const char* kStates[] = {"unknown", "dry", "damp"};
  std::string out =
      "# Written by truepull read. Rows and columns count from 0, labels such as C2 (third row,\n"
      "# second column) are for people. Lengths: mm on the sheet as photographed, x right, y down;\n"
      "# turns: degrees, clockwise. d...: found minus ideal; hand: what is left of it after the\n"
      "# sheet's own part.\n"
      "truepull: 1\nkind: reading\n";
  out += "photo: " + Quoted(reading.photo_name) + "\n";
  if (!reading.photo_key.empty()) out += "photo_key: " + reading.photo_key + "  # what tells this photo from others of its name\n";
  if (reading.pass != "first") out += "pass: " + Quoted(reading.pass) + "\n";
  out += fmt::format("sheet_state: {}\n", kStates[static_cast<int>(sheet.state)]);
  out += fmt::format("counts: {{printed: {}, weak: {}, missing: {}, beyond_tolerance: {}}}\n", drift.printed,
                     drift.weak, drift.missing, drift.beyond);
  out += Words("findings", sheet.findings) + Words("notes", sheet.notes);
  if (!sheet.left_over.empty()) {
    out += "left_over:  # pulls that belong to no site, roughly\n";
    for (const LeftOverPull& p : sheet.left_over) {
      out += fmt::format("  - {{x: {}, y: {}, turn: {}, share: {}}}\n", Mm(p.found.at.x), Mm(p.found.at.y),
                         Deg(p.found.turn_rad), Fixed(p.share, 6));
    }
  }
  out += PlatesText(sheet.plates, reading.plan.plates.size() > 1);
  out += SheetPartText(drift, reading.plan) + HandText(drift) + BlocksText(drift);
  out += fmt::format("scale_sd: [{}, {}]  # per cent: how well the scale itself is known, apart from every sd\n",
                     Fixed(100 * sheet.sd_scale_x, 6), Fixed(100 * sheet.sd_scale_y, 6));
  out += fmt::format("frame_sd: {}  # mm, in every sd already\nblur_sd: {}  # mm\n", Mm(sheet.sd_frame_mm),
                     Mm(sheet.sd_blur_mm));
  out += CameraText(sheet);
  out += "sites:\n";
  for (std::size_t i = 0; i < sheet.sites.size(); ++i) out += SiteText(sheet.sites[i], drift.sites.at(i), !drift.blocks.empty());
  out += SeamsText(drift);
  out += EdgesText(reading);
  out += ColoursText(reading);
  // The plan's lattice stands there in numbers, found or planned; which, is said apart.
  Plan plan = reading.plan;
  Lattice& l = plan.lattice;
  if (l.fit_origin) {
    out += fmt::format("ideal: {{lattice: fit, turn: {}, rows: {}, columns: {}}}  # drift is measured from the lattice that fits this print best\n",
                       l.fit_turn ? "fit" : "planned", l.fit_rows ? "fit" : "planned", l.fit_columns ? "fit" : "planned");
    l.fit_origin = l.fit_turn = l.fit_rows = l.fit_columns = false;
  }
  return out + "plan:\n" + Indented(WritePlan(plan));
}

std::string WriteDriftCsv(const Reading& reading, const DriftReport& drift) {
  std::string out =
      "row,column,state,x_mm,y_mm,turn_deg,dx_mm,dy_mm,dturn_deg,sd_x_mm,sd_y_mm,sd_turn_deg,coverage\n";
  for (std::size_t i = 0; i < reading.sheet.sites.size(); ++i) {
    const SiteReading& r = reading.sheet.sites[i];
    const SiteDrift& d = drift.sites.at(i);
    out += fmt::format("{},{},{},", r.site.row, r.site.column, NameOf(r.state));
    if (r.state == SiteState::kMissing) {
      out += ",,,,,,,,,";
    } else {
      for (const double v : {d.found.at.x, d.found.at.y, DegFromRad(d.found.turn_rad), d.shift.x, d.shift.y,
                             DegFromRad(d.turn_rad), std::sqrt(d.covariance[0]), std::sqrt(d.covariance[4]),
                             DegFromRad(std::sqrt(d.covariance[8]))}) {
        out += Fixed(v, 4) + ",";
      }
    }
    out += Fixed(r.coverage, 4) + "\n";
  }
  return out;
}

}  // namespace truepull
