// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "geometry/fixed_text.h"
#include "pages/html_text.h"
#include "pages/region_parts.h"

namespace truepull {
namespace {

const char* WordsOf(const ColourRegion& r) {
  switch (r.kind) {
    case RegionKind::kBody: return "body";
    case RegionKind::kEdge: return "edge band";
    case RegionKind::kOther: return "further colour";
    case RegionKind::kBare: return "bare paper";
    case RegionKind::kDrawing: return "drawing";
  }
  return "";
}

std::string PlannedWords(const Reading& reading, Site site, const ColourRegion& r) {
  const Plan& plan = reading.plan;
  if ((r.kind != RegionKind::kBody && r.kind != RegionKind::kOther) || reading.pass != "first") return "";
  if (plan.colours.empty()) return "the plan names none";
  if (r.colour < 0) return "unknown: none of the plan's";
  const std::string& hex = plan.colours[static_cast<std::size_t>(r.colour)];
  const int planned = PlannedColour(plan, site);
  const bool other = r.kind == RegionKind::kBody && planned >= 0 && planned != r.colour;
  const auto ink = ColourOfHex(hex);
  return fmt::format("{} <code>{}</code>{}", ink ? NameOfColour(LabOf(*ink)) : "", EscapeHtml(hex), other ? " (another than planned)" : "");
}

}  // namespace

std::string RegionTable(const Reading& reading) {
  std::string out =
      "<div class=\"wide\"><table class=\"sites\"><thead><tr><th scope=\"col\">site</th><th scope=\"col\">charge</th><th scope=\"col\">what</th>"
      "<th scope=\"col\">colour</th><th scope=\"col\">of the plan's colours</th><th scope=\"col\">area (mm&sup2;)</th><th scope=\"col\">L*</th>"
      "<th scope=\"col\">a*</th><th scope=\"col\">b*</th><th scope=\"col\">spread of L*, a*, b*</th></tr></thead><tbody>\n";
  for (const PullColours& p : reading.sheet.colours) {
    const int sorted = p.site.row * 10000 + p.site.column;
    const char* sign = p.charge == Charge::kFull ? "" : p.charge == Charge::kGhost ? "&#9681; " : "&#9676; ";
    for (const ColourRegion& r : p.regions) {
      const std::string hex = HexOfColour(ColourOfLab(r.lab));
      const auto number = [](double v, int decimals) {
        return fmt::format("<td class=\"n\" data-v=\"{}\">{}</td>", Fixed(v, 3), Fixed(v, decimals));
      };
      out += fmt::format(
          "<tr><th scope=\"row\" data-v=\"{}\">{}</th><td>{}{}</td><td>{}</td><td><span class=\"swatch\" style=\"background:{}\"></span>{} "
          "<code>{}</code></td><td>{}</td>{}{}{}{}<td class=\"n\">{}, {}, {}</td></tr>\n",
          sorted, SiteLabel(p.site), sign, NameOf(p.charge), WordsOf(r), hex, NameOfColour(r.lab), hex, PlannedWords(reading, p.site, r),
          number(r.area_mm2, 0), number(r.lab.L, 1), number(r.lab.a, 1), number(r.lab.b, 1), Fixed(r.sd.L, 1), Fixed(r.sd.a, 1), Fixed(r.sd.b, 1));
    }
  }
  return out + "</tbody></table></div>\n";
}

}  // namespace truepull
