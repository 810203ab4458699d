// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "geometry/fixed_text.h"
#include "pages/page_parts.h"
#include "pages/region_parts.h"

namespace truepull {
namespace {

std::string Num(double v) { return Fixed(v, 1); }

std::string PathData(const std::vector<Outline>& loops) {
  std::string d;
  for (const Outline& loop : loops) {
    for (std::size_t i = 0; i < loop.size(); ++i) d += fmt::format("{}{},{}", i == 0 ? "M" : " ", Num(loop[i].x), Num(loop[i].y));
    d += "Z";
  }
  return d;
}

std::string HexOf(const Lab& lab) { return HexOfColour(ColourOfLab(lab)); }

const SiteReading* SiteOf(const Reading& reading, Site site) {
  for (const SiteReading& r : reading.sheet.sites) {
    if (r.site == site) return &r;
  }
  return nullptr;
}

}  // namespace

// The shapes stand here once; RegionMapSvg uses them again. Two variables of the style say
// whether fill or line shows.
std::string RegionLayerSvg(const Reading& reading, double margin_mm) {
  if (reading.sheet.colours.empty()) return "";
  const Sheet& sheet = reading.plan.sheet;
  std::string svg = fmt::format(
      "<svg class=\"layer\" viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"Lines round every colour\">\n<defs>", Num(-margin_mm),
      Num(-margin_mm), Num(sheet.width_mm + 2 * margin_mm), Num(sheet.height_mm + 2 * margin_mm));
  for (std::size_t k = 0; k < reading.sheet.drawings.size(); ++k) {
    svg += fmt::format("<path id=\"drawn-{}\" d=\"{}\"/>\n", k, PathData(reading.sheet.drawings[k].outlines));
  }
  svg += "</defs>\n<g id=\"colour-shapes\">\n";
  for (const PullColours& p : reading.sheet.colours) {
    const bool band = std::any_of(p.regions.begin(), p.regions.end(), [](const ColourRegion& r) { return r.kind == RegionKind::kEdge; });
    for (const ColourRegion& r : p.regions) {
      // Lines along the pull's own outline are in the picture already; the band's inner side is the body's.
      const char* kind = r.kind == RegionKind::kBody && !band ? "whole" : NameOf(r.kind);
      if (!r.outlines.empty()) svg += fmt::format("<path class=\"{}\" fill=\"{}\" d=\"{}\"/>\n", kind, HexOf(r.lab), PathData(r.outlines));
    }
    const auto drawn = std::find_if(p.regions.begin(), p.regions.end(), [](const ColourRegion& r) { return r.kind == RegionKind::kDrawing; });
    const SiteReading* site = SiteOf(reading, p.site);
    if (drawn == p.regions.end() || site == nullptr) continue;
    const CellMember& member = MemberAt(reading.plan.lattice, p.site);
    for (std::size_t k = 0; k < reading.sheet.drawings.size(); ++k) {
      const PlateDrawing& d = reading.sheet.drawings[k];
      if (d.plate != member.plate || d.mirrored != member.mirrored) continue;
      svg += fmt::format("<use class=\"drawing\" fill=\"{}\" href=\"#drawn-{}\" transform=\"translate({} {}) rotate({})\"/>\n", HexOf(drawn->lab), k,
                         Fixed(site->found.at.x, 2), Fixed(site->found.at.y, 2), Fixed(DegFromRad(site->found.turn_rad), 2));
      break;
    }
  }
  return svg + "</g></svg>\n";
}

std::string RegionMapSvg(const Reading& reading) {
  const Box box = MapBox(reading.plan);
  std::string svg = fmt::format("<svg class=\"map flat\" viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"Every colour as one flat tone\">\n",
                                Num(box.left), Num(box.top), Num(box.Width()), Num(box.Height()));
  svg += fmt::format("<rect fill=\"#fff\" width=\"{}\" height=\"{}\"/>\n<use href=\"#colour-shapes\"/>\n", Num(reading.plan.sheet.width_mm),
                     Num(reading.plan.sheet.height_mm));
  const double text = std::clamp(0.16 * PitchMm(reading.plan), box.Width() / 80, box.Width() / 40);
  for (const PullColours& p : reading.sheet.colours) {
    const SiteReading* site = SiteOf(reading, p.site);
    if (site == nullptr) continue;
    const Point at = Apply(site->found, Centroid(OutlineAt(reading.plan, p.site)));
    svg += fmt::format("<text class=\"on\" x=\"{}\" y=\"{}\" font-size=\"{}\">{}{}</text>\n", Num(at.x), Num(at.y + 0.36 * text), Num(text),
                       SiteLabel(p.site), p.charge == Charge::kFull ? "" : fmt::format(" {}", NameOf(p.charge)));
  }
  return svg + "</svg>\n";
}

std::string CoverMapSvg(const Reading& reading) {
  const Plan& plan = reading.plan;
  const Box box = MapBox(plan);
  std::string svg = fmt::format("<svg class=\"map cover\" viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"Where the colour took\">\n", Num(box.left),
                                Num(box.top), Num(box.Width()), Num(box.Height()));
  svg += fmt::format("<rect class=\"sheet\" width=\"{}\" height=\"{}\"/>\n", Num(plan.sheet.width_mm), Num(plan.sheet.height_mm));
  svg += OutlineDefs(plan, "cover-tile-");
  const double text = std::clamp(0.16 * PitchMm(plan), box.Width() / 80, box.Width() / 40);
  std::string labels;
  for (const PullColours& p : reading.sheet.colours) {
    const SiteReading* site = SiteOf(reading, p.site);
    if (site == nullptr) continue;
    const Outline outline = OutlineAt(plan, p.site);
    const Box tile = BoundingBox(outline);
    std::array<std::string, 10> by_tenth;
    for (std::size_t r = 0; r < p.cover.size(); ++r) {
      for (std::size_t c = 0; c < p.cover[r].size(); ++c) {
        const char tenth = p.cover[r][c];
        if (tenth == '.') continue;
        by_tenth[static_cast<std::size_t>(tenth - '0')] += fmt::format("M{} {}h{}v{}h-{}z", Num(tile.left + p.cell_mm * static_cast<double>(c)),
                                                                       Num(tile.top + p.cell_mm * static_cast<double>(r)), Num(p.cell_mm),
                                                                       Num(p.cell_mm), Num(p.cell_mm));
      }
    }
    svg += fmt::format("<g transform=\"translate({} {}) rotate({})\">", Fixed(site->found.at.x, 2), Fixed(site->found.at.y, 2),
                       Fixed(DegFromRad(site->found.turn_rad), 2));
    for (std::size_t t = 0; t < by_tenth.size(); ++t) {
      if (!by_tenth[t].empty()) svg += fmt::format("<path class=\"t{}\" d=\"{}\"/>", t, by_tenth[t]);
    }
    svg += "</g>\n";
    labels += OutlineUse(plan, p.site, site->found, "cover-tile-", "tile");
    const Point at = Apply(site->found, Centroid(outline));
    labels += fmt::format("<text class=\"on\" x=\"{}\" y=\"{}\" font-size=\"{}\">{} {}&#8201;%</text>\n", Num(at.x), Num(at.y + 0.36 * text), Num(text),
                          SiteLabel(p.site), Fixed(100 * site->coverage, 0));
  }
  return svg + labels + "</svg>\n";
}

}  // namespace truepull
