// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"
#include "truepull/pages.h"

namespace truepull {
namespace {

// A number cell; what it is sorted by is its plain value.
std::string Cell(double value, const std::string& shown) {
  return fmt::format("<td class=\"n\" data-v=\"{}\">{}</td>", Fixed(value, 4), shown);
}

const char* PrintWord(SiteState state) {
  switch (state) {
    case SiteState::kPrinted: return "full";
    case SiteState::kWeak: return "weak";
    default: return "missing";
  }
}

std::string SiteRow(const Reading& reading, const SiteReading& r, const SiteDrift& d) {
  const char* sign = r.state == SiteState::kMissing ? "&#10005; " : r.state == SiteState::kWeak ? "&#9676; " : "";
  std::string row = fmt::format(
      "<tr{}><th scope=\"row\" data-v=\"{}\">{}</th><td class=\"n files\">{}, {}</td><td>{}{}</td>",
      d.beyond_hand ? " class=\"out\"" : "", r.site.row * 10000 + r.site.column, SiteLabel(r.site), r.site.row,
      r.site.column, sign, PrintWord(r.state));
  if (r.state == SiteState::kMissing) {
    row += "<td></td><td></td><td></td><td></td><td></td>";
  } else {
    // The larger of the two axes: one number is enough for a glance; files have both.
    const double sd = std::sqrt(std::max(d.covariance[0], d.covariance[4]));
    row += Cell(d.shift.x, FixedSigned(d.shift.x, 2)) + Cell(d.shift.y, FixedSigned(d.shift.y, 2)) +
           Cell(DegFromRad(d.turn_rad), FixedSigned(DegFromRad(d.turn_rad), 2)) +
           Cell(sd, fmt::format("{} mm, {}&deg;", Fixed(sd, 2), Fixed(DegFromRad(std::sqrt(d.covariance[8])), 2))) +
           Cell(Norm(d.hand_shift),
                fmt::format("{}{} mm, {}&deg;", d.beyond_hand ? "&#9650; " : "", Fixed(Norm(d.hand_shift), 2),
                            FixedSigned(DegFromRad(d.hand_turn_rad), 2)));
  }
  row += Cell(r.coverage, fmt::format("{} %", Fixed(100 * r.coverage, 0)));
  if (r.body_colour.empty() || r.state == SiteState::kMissing) return row + "<td></td></tr>\n";
  const std::string hex = EscapeHtml(r.body_colour);
  row += fmt::format("<td><span class=\"swatch\" style=\"background:{}\"></span>{} <code>{}</code>", hex,
                     EscapeHtml(ColourWords(r.body_colour)), hex);
  if (r.colour >= 0) {
    const int planned = PlannedColour(reading.plan, r.site);
    if (planned >= 0 && planned != r.colour) row += " (another than planned)";
  }
  return row + "</td></tr>\n";
}

}  // namespace

std::string SiteTable(const Reading& reading, const DriftReport& drift) {
  std::string out =
      "<div class=\"wide\"><table class=\"sites\"><thead><tr><th scope=\"col\">site</th><th scope=\"col\">in files: row, column</th>"
      "<th scope=\"col\">print</th><th scope=\"col\">right +, left &minus; (mm)</th>"
      "<th scope=\"col\">down +, up &minus; (mm)</th><th scope=\"col\">turn, clockwise + (&deg;)</th>"
      "<th scope=\"col\">uncertainty (one sd)</th><th scope=\"col\">by hand</th>"
      "<th scope=\"col\">covered</th><th scope=\"col\">colour</th></tr></thead><tbody>\n";
  for (std::size_t i = 0; i < reading.sheet.sites.size(); ++i) {
    out += SiteRow(reading, reading.sheet.sites[i], drift.sites.at(i));
  }
  return out + "</tbody></table></div>\n";
}

std::string SeamTable(const DriftReport& drift) {
  std::vector<const Seam*> seams;
  for (const Seam& s : drift.seams) seams.push_back(&s);
  std::stable_sort(seams.begin(), seams.end(), [](const Seam* a, const Seam* b) {
    return std::abs(a->mean_gap_mm - a->ideal_gap_mm) > std::abs(b->mean_gap_mm - b->ideal_gap_mm);
  });
  std::string out =
      "<div class=\"wide\"><table class=\"seams\"><thead><tr><th scope=\"col\">between</th><th scope=\"col\">it is</th>"
      "<th scope=\"col\">mean (mm)</th><th scope=\"col\">uncertainty (one sd)</th><th scope=\"col\">worst place (mm)</th>"
      "<th scope=\"col\">length (mm)</th></tr></thead><tbody>\n";
  for (const Seam* s : seams) {
    const bool told = std::abs(s->mean_gap_mm) > std::max(0.05, 2 * s->sd_mean_gap_mm);
    out += fmt::format(
        "<tr><th scope=\"row\">{}&#8202;&ndash;&#8202;{}</th><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td>"
        "<td class=\"n\">{}</td><td class=\"n\">{}</td></tr>\n",
        SiteLabel(s->a), SiteLabel(s->b), !told ? "closed" : s->mean_gap_mm > 0 ? "a gap" : "an overlap",
        FixedSigned(s->mean_gap_mm, 2), Fixed(s->sd_mean_gap_mm, 2), FixedSigned(s->worst_gap_mm, 2),
        Fixed(s->length_mm, 0));
  }
  return out + "</tbody></table></div>\n";
}

}  // namespace truepull
