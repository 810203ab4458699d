// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "drift/magnification.h"
#include "pages/amounts.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"
#include "pages/region_parts.h"
#include "truepull/pages.h"

namespace truepull {
namespace {

std::string Sentence(const std::string& text) {
  std::string out = EscapeHtml(Capitalised(text));
  if (!out.empty() && out.back() != '.' && out.back() != '?') out += '.';
  for (const char* unit : {" mm", " %"}) {  // A unit does not begin a line.
    for (std::size_t at = out.find(unit); at != std::string::npos; at = out.find(unit, at + 1)) {
      out.replace(at, 1, "\u00a0");
    }
  }
  return out;
}

std::string List(const std::vector<std::string>& sentences) {
  std::string out = "<ul>";
  for (const std::string& s : sentences) out += "<li>" + Sentence(s) + "</li>\n";
  return out + "</ul>";
}

std::string Head(const Reading& reading) {
  const Plan& plan = reading.plan;
  const std::string title = plan.title.empty() ? "Reading of " + reading.photo_name : plan.title;
  constexpr const char* kStates[] = {"not said whether dry or damp", "dry", "damp"};
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
      "<meta name=\"viewport\" content=\"width=device-width,initial-scale=1\"><title>{0}</title>\n<style>{1}</style></head>\n"
      "<body><main><h1>{0}</h1>\n<p class=\"soft\">Read from {2}. Sheet {3} &times; {4} mm, {5}; {6} rows of {7} sites.</p>\n",
      EscapeHtml(title), kPageStyle, EscapeHtml(reading.photo_name), fmt::format("{:g}", plan.sheet.width_mm),
      fmt::format("{:g}", plan.sheet.height_mm), kStates[static_cast<int>(reading.sheet.state)], plan.lattice.rows,
      FileColumns(plan.lattice));
}

std::string PictureFigure(const Reading& reading, const DriftReport& drift, std::string_view jpeg, double margin_mm) {
  if (jpeg.empty()) return "";
  const int m = Magnification(reading.plan, drift, false);
  const std::string layer = RegionLayerSvg(reading, margin_mm);
  const std::string off_and_on =
      layer.empty() ? "" : "<input type=\"checkbox\" class=\"layers\" id=\"lines\" checked> <label for=\"lines\">lines round every colour</label>\n";
  return fmt::format(
      "<h2>The sheet</h2>\n<div class=\"layered\">{}<figure><div class=\"under\"><img alt=\"The sheet laid flat, with the outline of every pull as it was found\" "
      "src=\"data:image/jpeg;base64,{}\">\n{}</div><figcaption>The photo laid flat. Full line: a pull as found; heavy broken line: "
      "a weak one; thin broken line: the ideal place; cross: nothing printed. Arrows show the drift {}.</figcaption></figure></div>\n",
      off_and_on, Base64(jpeg), layer, m == 1 ? "in its true size" : fmt::format("{} times as large as it is", m));
}

std::string Maps(const Reading& reading, const DriftReport& drift) {
  std::string out = "<h2>Drift: found minus ideal</h2>\n<div class=\"maps\">\n<figure>" +
                    DriftMapSvg(reading, drift, false) +
                    "<figcaption>The whole drift of every site, from its ideal place to where it was found." +
                    (reading.plan.lattice.fit_origin ? " Ideal is here the lattice that fits this print best." : "") +
                    "</figcaption></figure>\n";
  if (drift.sheet_part && drift.has_hand_sd) {
    out += "<figure>" + DriftMapSvg(reading, drift, true) +
           "<figcaption>What is left when the sheet's own shift, turn and stretch are taken out: the hand.</figcaption></figure>\n";
  }
  return out + fmt::format(
      "</div>\n<p class=\"soft\">Rings: where the point lies with 95 % certainty. Thick arrow with &#9650; in the table: "
      "the hand's part is over the plan's tolerance of {} or {}. Broken outline: weak print; cross: missing.</p>\n",
      AmountMm(reading.plan.tolerance.shift_mm), AmountDeg(reading.plan.tolerance.turn_rad));
}

std::string Seams(const Reading& reading, const DriftReport& drift) {
  if (drift.seams.empty()) return "";
  double planned = 0;
  for (const Seam& s : drift.seams) planned = std::max(planned, std::abs(s.ideal_gap_mm));
  const std::string gutter =
      planned > 0.05 ? fmt::format(" The plan itself leaves up to {} between neighbours.", AmountMm(planned)) : "";
  return "<h2>Seams: how neighbours meet</h2>\n<figure>" + SeamMapSvg(reading, drift) +
         "<figcaption>White: a gap, black: an overlap, mean along the seam in mm; a small ring: closed, as far as the photo can tell." +
         gutter + "</figcaption></figure>\n<details><summary>All " + std::to_string(drift.seams.size()) +
         " seams, the widest off first</summary>\n" + SeamTable(drift) + "</details>\n";
}

std::string Colours(const Reading& reading, bool shapes) {
  if (reading.sheet.colours.empty()) return "";
  std::string out = "<h2>Colours</h2>\n<div class=\"maps\">\n";
  if (shapes) {
    out += "<figure>" + RegionMapSvg(reading) +
           "<figcaption>Every colour inside the outlines as one flat tone, over this sheet's own white: lamp and shadows are out.</figcaption></figure>\n";
  }
  out += "<figure>" + CoverMapSvg(reading) +
         "<figcaption>Where the colour took: the darker, the more of a square is covered.</figcaption></figure>\n</div>\n";
  double left_out = 0;
  for (const PullColours& p : reading.sheet.colours) left_out = std::max(left_out, p.left_out);
  return out +
         fmt::format(
             "<p class=\"soft\">Full: as the sheet's good pulls of that colour; ghost (&#9681;): thin all over, as a second pull from one charge "
             "is; weak (&#9676;): patchy. Specks and strokes too small to list are counted with what surrounds them, at most {} % of a pull.</p>\n",
             Fixed(100 * left_out, 0)) +
         "<details><summary>Every colour of every pull</summary>\n" + RegionTable(reading) + "</details>\n";
}

std::string SheetPartWords(const Reading& reading, const DriftReport& drift) {
  if (!drift.sheet_part) return "";
  const SheetPart& p = *drift.sheet_part;
  const Grain grain = reading.plan.sheet.grain;
  const auto way = [&](bool x) {
    if (grain == Grain::kUnknown) return x ? "from side to side" : "from top to bottom";
    return (grain == Grain::kX) == x ? "along the grain" : "across the grain";
  };
  std::string out =
      "<h2>The sheet's own part</h2>\n<div class=\"wide\"><table><thead><tr><th>of the drift</th><th>value</th>"
      "<th>uncertainty (one sd)</th></tr></thead><tbody>\n";
  const auto row = [&](const std::string& name, const std::string& value, const std::string& sd) {
    out += fmt::format("<tr><th scope=\"row\">{}</th><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n", name, value, sd);
  };
  row("shift to the right", FixedSigned(p.shift.x, 2) + " mm", Fixed(p.sd_shift_x_mm, 2) + " mm");
  row("shift down", FixedSigned(p.shift.y, 2) + " mm", Fixed(p.sd_shift_y_mm, 2) + " mm");
  if (p.has_turn) {
    row("turn, clockwise", FixedSigned(DegFromRad(p.turn_rad), 3) + "&deg;", Fixed(DegFromRad(p.sd_turn_rad), 3) + "&deg;");
  }
  const auto percent = [&](const std::string& name, double v, double sd) {
    row(name, FixedSigned(100 * v, 2) + " %", Fixed(100 * sd, 2) + " %");
  };
  const SheetReading& s = reading.sheet;
  if (p.has_stretch_x) percent(std::string("stretch ") + way(true), p.stretch_x, std::hypot(p.sd_stretch_x, s.sd_scale_x));
  if (p.has_stretch_y) percent(std::string("stretch ") + way(false), p.stretch_y, std::hypot(p.sd_stretch_y, s.sd_scale_y));
  if (p.has_shear) percent("shear", p.shear, p.sd_shear);
  out += "</tbody></table></div>\n<p class=\"soft\">A stretch may be paper that moved between printing and photo, or a hand that "
         "steps too far each time: one photo cannot tell them apart.";
  if (s.sd_scale_x > 0 || s.sd_scale_y > 0) {
    out += fmt::format(" The sheet's size in the plan is taken as the scale; it is known to {} % across and {} % down, "
                       "which is in the stretch's uncertainty.",
                       Fixed(100 * s.sd_scale_x, 2), Fixed(100 * s.sd_scale_y, 2));
  }
  return out + "</p>\n";
}

}  // namespace

std::string ReadingPage(const Reading& reading, const DriftReport& drift, std::string_view picture_jpeg, double picture_margin_mm) {
  std::string page = Head(reading);
  page += "<section class=\"card\" aria-label=\"Summary\">" + List(SummaryLines(reading, drift)) + "</section>\n";
  if (!reading.sheet.findings.empty()) {
    page += "<section class=\"card look\"><p><strong>Needs a look</strong></p>" + List(reading.sheet.findings) + "</section>\n";
  }
  page += PictureFigure(reading, drift, picture_jpeg, picture_margin_mm);
  page += Maps(reading, drift);
  page += "<h2>Every site</h2>\n<p class=\"soft\">Pages name a site by a row letter and a column number from 1; files count both "
          "from 0: A1 is row 0, column 0, and C2 is row 2, column 1.</p>\n";
  page += SiteTable(reading, drift);
  page += Colours(reading, !picture_jpeg.empty());
  page += Seams(reading, drift);
  page += SheetPartWords(reading, drift);
  if (!reading.sheet.notes.empty()) page += "<h2>Notes</h2>\n<div class=\"card\">" + List(reading.sheet.notes) + "</div>\n";
  page += "<p class=\"soft\">All lengths are millimetres on the sheet as it was photographed. The numbers are in drift.csv and "
          "reading.yaml beside this page.</p>\n";
  return page + "</main>\n<script>" + kPageScript + "</script>\n</body></html>\n";
}

}  // namespace truepull
