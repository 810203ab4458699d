// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"
#include "pages/page_parts.h"

namespace truepull {

std::string SeamMapSvg(const Reading& reading, const DriftReport& drift) {
  const Plan& plan = reading.plan;
  const Sheet& sheet = plan.sheet;
  const Box box = MapBox(plan);
  const double radius = std::clamp(0.13 * PitchMm(plan), box.Width() / 100, box.Width() / 42);
  const auto num = [](double v) { return Fixed(v, 2); };
  std::string svg = fmt::format("<svg class=\"map\" viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"Seams\">\n",
                                num(box.left), num(box.top), num(box.Width()), num(box.Height()));
  svg += OutlineDefs(plan, "seam-tile-");
  svg += fmt::format("<rect class=\"sheet\" width=\"{}\" height=\"{}\"/>\n", num(sheet.width_mm), num(sheet.height_mm));
  for (const SiteDrift& d : drift.sites) {
    if (d.state == SiteState::kMissing) continue;
    svg += OutlineUse(plan, d.site, d.found, "seam-tile-", "tile");
    const Point at = Apply(d.found, Centroid(OutlineAt(plan, d.site)));
    svg += fmt::format("<text class=\"pale\" x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>\n", num(at.x),
                       num(at.y + 0.36 * radius), num(0.95 * radius), SiteLabel(d.site));
  }
  for (const Seam& s : drift.seams) {
    // White with a rim: a gap. Black: an overlap. Small and hollow: neither, as far as the
    // measuring can tell.
    const bool told = std::abs(s.mean_gap_mm) > std::max(0.05, 2 * s.sd_mean_gap_mm);
    const char* kind = !told ? "closed" : s.mean_gap_mm > 0 ? "gap" : "overlap";
    svg += fmt::format("<g class=\"seam {}\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>", kind, num(s.middle.x),
                       num(s.middle.y), num(told ? radius : 0.35 * radius));
    if (told) {
      svg += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\">{}</text>", num(s.middle.x),
                         num(s.middle.y + 0.35 * radius), num(0.95 * radius), Fixed(std::abs(s.mean_gap_mm), 1));
    }
    svg += "</g>\n";
  }
  return svg + "</svg>\n";
}

}  // namespace truepull
