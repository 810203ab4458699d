// SPDX-License-Identifier: Apache-2.0
// A review as a table and as YAML.
#include <fmt/format.h>

#include "geometry/fixed_text.h"
#include "truepull/edition_text.h"
#include "truepull/units.h"

namespace truepull {
namespace {

std::string CsvText(const std::string& text) {
  std::string out;
  bool quote = false;
  for (const char c : text) {
    if (c == '\n' || c == '\r' || c == '\t') {
      out += ' ';
      continue;
    }
    quote = quote || c == ',' || c == '"';
    out += c;
    if (c == '"') out += '"';
  }
  return quote ? '"' + out + '"' : out;
}

std::string Quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '\n' || c == '\t' || c == '\r') out += ' ';
    else if (c == '"' || c == '\\') out += std::string("\\") + c;
    else if (static_cast<unsigned char>(c) >= 0x20 && c != 0x7F) out += c;
  }
  return out + '"';
}

std::string Num(double v) { return Fixed(v, 4); }

std::string Words(const char* key, const std::vector<std::string>& sentences, const char* indent) {
  if (sentences.empty()) return fmt::format("{}{}: []\n", indent, key);
  std::string out = fmt::format("{}{}:\n", indent, key);
  for (const std::string& s : sentences) out += fmt::format("{}  - {}\n", indent, Quoted(s));
  return out;
}

std::string SheetText(const EditionSheet& s, const SheetReview& r) {
  std::string out = fmt::format("  - code: {}\n    photo: {}\n    pass: {}\n    order: {}\n", Quoted(s.code), Quoted(s.photo), Quoted(s.pass), s.order);
  if (!s.paper.empty()) out += "    paper: " + Quoted(s.paper) + "\n";
  if (!s.whose.empty()) out += "    whose: " + Quoted(s.whose) + "\n";
  out += fmt::format("    decision: {}\n", NameOf(s.decision));
  out += fmt::format("    printed: {}\n    weak: {}\n    missing: {}\n", r.drift.printed, r.drift.weak, r.drift.missing);
  if (r.drift.sheet_part) {
    const SheetPart& p = *r.drift.sheet_part;
    out += fmt::format("    shift: [{}, {}]  # mm\n    sd_shift: [{}, {}]\n", Num(p.shift.x), Num(p.shift.y), Num(p.sd_shift_x_mm), Num(p.sd_shift_y_mm));
    if (p.has_turn) out += fmt::format("    turn: {}  # degrees\n    sd_turn: {}\n", Num(DegFromRad(p.turn_rad)), Num(DegFromRad(p.sd_turn_rad)));
    out += fmt::format("    shift_test: {{t_squared: {}, f: {}, p: {:.4g}, differs_from_zero: {}}}\n", Num(r.shift_test.t2), Num(r.shift_test.f), r.shift_test.p, r.shifted);
  }
  if (r.has_stretch_along) out += fmt::format("    stretch_along_grain: {}  # per cent\n    sd_stretch_along_grain: {}\n", Num(100 * r.stretch_along), Num(100 * r.sd_stretch_along));
  if (r.has_stretch_across) out += fmt::format("    stretch_across_grain: {}\n    sd_stretch_across_grain: {}\n", Num(100 * r.stretch_across), Num(100 * r.sd_stretch_across));
  if (r.has_creep_column) out += fmt::format("    gain_per_column: {}  # mm, whatever its cause\n    sd_gain_per_column: {}\n", Num(r.creep_column_mm), Num(r.sd_creep_column_mm));
  if (r.has_creep_row) out += fmt::format("    gain_per_row: {}\n    sd_gain_per_row: {}\n", Num(r.creep_row_mm), Num(r.sd_creep_row_mm));
  out += fmt::format("    growth_cause: {}\n", NameOf(r.growth));
  if (r.has_hand_sd) {
    out += fmt::format("    hand_sd: {}  # mm each way, plate and block taken out\n    sd_of_hand_sd: {}\n    hand_sd_turn: {}  # degrees\n", Num(r.hand_sd_mm),
                       Num(r.sd_hand_sd_mm), Num(DegFromRad(r.hand_sd_turn_rad)));
  }
  if (r.density > 0) out += fmt::format("    density: {}\n", Num(r.density));
  out += fmt::format("    coverage: {}\n", Num(r.coverage));
  if (r.has_register) {
    out += fmt::format("    register_on_first: {{shift: [{}, {}], sd: {}}}  # mm\n", Num(r.register_shift.x), Num(r.register_shift.y), Num(r.register_sd_mm));
  }
  out += fmt::format("    main_habit: {}\n    suspected_cause: {}\n    confidence: {}\n", Quoted(r.main_habit), NameOf(r.cause), Quoted(r.confidence));
  if (r.habits.empty()) {
    out += "    habits: []\n";
  } else {
    out += "    habits:\n";
    for (const Habit& h : r.habits) {
      out += fmt::format("      - {{finding: {}, cause: {}, size: {}, p: {:.3g}}}\n", Quoted(h.finding), NameOf(h.cause), Num(h.size_mm), h.p);
    }
  }
  if (!r.beyond.empty()) out += "    beyond: " + Quoted(r.beyond) + "\n";
  return out + Words("look", r.look, "    ");
}

std::string Faults(const EditionReview& review) {
  std::string out = "plates:  # what repeats at every site and turns with the tile\n";
  if (review.plates.empty()) out = "plates: []\n";
  for (const PlateFault& f : review.plates) {
    out += fmt::format("  - plate: {}\n    fault: {}\n    told_from_shift: {}\n", Quoted(f.plate), f.found, f.told_apart);
    if (!f.whose.empty()) out += "    whose: " + Quoted(f.whose) + "\n";
    if (f.told_apart) out += fmt::format("    bias: [{}, {}]  # mm, in the tile's own frame\n    sd_bias: {}\n    p: {:.3g}\n", Num(f.bias.x), Num(f.bias.y), Num(f.sd_bias_mm), f.test.p);
    if (f.sides.empty()) {
      out += "    sides: []\n";
    } else {
      out += "    sides:  # mm beyond the plan's outline; below 0 short\n";
      for (const SideFault& s : f.sides) out += fmt::format("      - {{side: {}, out: {}, sd: {}}}\n", Quoted(s.side), Num(s.out_mm), Num(s.sd_mm));
    }
  }
  out += review.blocks.empty() ? "blocks: []\n" : "blocks:  # what repeats at one site of every sheet\n";
  for (const BlockFault& b : review.blocks) {
    out += fmt::format("  - {{site: {}, row: {}, column: {}, shift: [{}, {}], sd: {}, p: {:.3g}, sheets: {}}}\n", SiteLabel(b.site), b.site.row, b.site.column, Num(b.shift.x), Num(b.shift.y),
                       Num(b.sd_mm), b.p, b.sheets);
  }
  out += review.growths.empty() ? "growth: []\n" : "growth:  # tiles too far apart or too close, by paper; per cent along x and y\n";
  for (const Growth& g : review.growths) {
    out += fmt::format("  - paper: {}\n    sheets: {}\n    x: {}\n    sd_x: {}\n    y: {}\n    sd_y: {}\n    cause: {}\n", Quoted(g.paper), g.sheets, Num(100 * g.x), Num(100 * g.sd_x), Num(100 * g.y),
                       Num(100 * g.sd_y), NameOf(g.cause)) + Words("evidence", g.evidence, "    ");
  }
  return out;
}

std::string Charts(const char* key, const char* words, const std::vector<RunSeries>& series) {
  if (series.empty()) return fmt::format("{}: []\n", key);
  std::string out = fmt::format("{}:  # {}\n", key, words);
  for (const RunSeries& s : series) {
    out += fmt::format("  - name: {}\n    group: {}\n    unit: {}\n    too_few: {}\n    middle: {}\n    sigma: {}\n    limits: [{}, {}]\n    orders: [{}]\n    values: [", Quoted(s.name), Quoted(s.group), Quoted(s.unit),
                       s.too_few, Num(s.chart.centre), Num(s.chart.sigma), Num(s.chart.lower), Num(s.chart.upper), fmt::join(s.orders, ", "));
    for (std::size_t i = 0; i < s.chart.values.size(); ++i) out += (i > 0 ? ", " : "") + Num(s.chart.values[i]);
    out += "]\n    signals: [";
    for (std::size_t i = 0; i < s.signals.size(); ++i) {
      out += fmt::format("{}{{rule: {}, at: {}}}", i > 0 ? ", " : "", static_cast<int>(s.signals[i].rule), s.signals[i].at);
    }
    out += "]\n";
  }
  return out;
}

std::string Run(const EditionReview& review) {
  std::string out = fmt::format("jumps_looked_for: {}\n", review.steps_looked_for);
  out += review.steps.empty() ? "jumps: []\n" : "jumps:\n";
  for (const EditionStep& s : review.steps) {
    out += fmt::format("  - {{after_order: {}, before: [{}, {}], behind: [{}, {}], p: {:.3g}, first: {}, last: {}}}\n", s.after_order, Num(s.step.before.x), Num(s.step.before.y),
                       Num(s.step.behind.x), Num(s.step.behind.y), s.step.p, review.sheets[s.step.first].order, review.sheets[s.step.last].order);
  }
  out += Charts("charts", "single values; limits at three sigma", review.series);
  out += Charts("range_charts", "moving ranges; mean and range over the sites of a sheet", review.ranges);
  out += review.components.empty() ? "components: []\n" : "components:  # root mean square over sites and sheets, mm\n";
  for (const Component& c : review.components) out += fmt::format("  - {{name: {}, rms: {}, sd: {}}}\n", Quoted(c.name), Num(c.rms_mm), Num(c.sd_mm));
  out += review.likeness.empty() ? "likeness: []\n" : "likeness:  # to the approved proof; equal places are ties; register in mm, colour in CIEDE2000\n";
  for (const Likeness& l : review.likeness) {
    out += fmt::format("  - {{place: {}, code: {}, distance: {}, sd: {}, register: {}, colour: {}, coverage: {}, apart: {}}}\n", l.tie, Quoted(review.sheets[l.sheet].code), Num(l.distance), Num(l.sd),
                       Num(l.register_mm), Num(l.colour), Num(l.coverage), Quoted(l.apart));
  }
  return out;
}

}  // namespace

std::string WriteReviewCsv(const EditionReview& review, const std::vector<ReviewRow>& rows) {
  std::string out =
      "code,photo,used,reason,shift_x_mm,shift_y_mm,turn_deg,stretch_along_grain_percent,stretch_across_grain_percent,"
      "hand_sd_mm,hand_sd_turn_deg,creep_column_mm_per_step,creep_row_mm_per_step,main_habit,suspected_cause,order\n";
  for (const ReviewRow& row : rows) {
    out += fmt::format("{},{},{},{}", CsvText(row.code), CsvText(row.photo), row.used ? "yes" : "no", CsvText(row.reason));
    if (!row.used || row.sheet < 0) {
      out += ",,,,,,,,,,,,\n";
      continue;
    }
    const EditionSheet& s = review.sheets[static_cast<std::size_t>(row.sheet)];
    const SheetReview& r = review.reviews[static_cast<std::size_t>(row.sheet)];
    const auto cell = [&](bool has, double v) {
      out += ',';
      if (has) out += Num(v);
    };
    const bool part = r.drift.sheet_part.has_value();
    const SheetPart p = part ? *r.drift.sheet_part : SheetPart{};
    cell(part, p.shift.x), cell(part, p.shift.y), cell(part && p.has_turn, DegFromRad(p.turn_rad));
    cell(r.has_stretch_along, 100 * r.stretch_along), cell(r.has_stretch_across, 100 * r.stretch_across);
    cell(r.has_hand_sd, r.hand_sd_mm), cell(r.has_hand_sd, DegFromRad(r.hand_sd_turn_rad));
    cell(r.has_creep_column, r.creep_column_mm), cell(r.has_creep_row, r.creep_row_mm);
    out += fmt::format(",{},{},{}\n", CsvText(r.main_habit), NameOf(r.cause), s.order);
  }
  return out;
}

std::string WriteReviewYaml(const EditionReview& review, const std::vector<ReviewRow>& rows) {
  std::string out =
      "# Written by truepull review. Lengths: mm on the sheet as photographed, x right, y down; turns:\n"
      "# degrees, clockwise. sd: standard uncertainty; p: chance of so much where there is no fault.\n"
      "truepull: 1\nkind: review\n";
  out += "title: " + Quoted(review.settings.title) + "\n";
  out += Words("findings", review.findings, "") + Words("common_habits", review.common_habits, "");
  const ReviewThresholds& t = review.settings.thresholds;
  out += fmt::format("thresholds: {{fine: {:g}, good: {:g}, least: {:g}, false_alarms: {:g}, blur: {:g}, unsure: {:g}, tilt: {:g}, glare: {:g}, weak_share: {:g}}}\n", t.fine_mm, t.good_mm, t.least_mm, t.level,
                     t.blur_mm, t.unsure_mm, t.tilt, t.glare, t.weak_share);
  out += review.sheets.empty() ? "sheets: []\n" : "sheets:\n";
  for (std::size_t i = 0; i < review.sheets.size(); ++i) out += SheetText(review.sheets[i], review.reviews[i]);
  std::string not_used;
  for (const ReviewRow& r : rows) {
    if (!r.used) not_used += fmt::format("  - {{code: {}, photo: {}, reason: {}}}\n", Quoted(r.code), Quoted(r.photo), Quoted(r.reason));
  }
  out += not_used.empty() ? "not_used: []\n" : "not_used:\n" + not_used;
  return out + Faults(review) + Run(review);
}

}  // namespace truepull
