// SPDX-License-Identifier: Apache-2.0
#include "plan/plan_warnings.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace truepull {
namespace {

// 0.05 mm: thinner than any knife line, and over what rounding an outline to 0.1 um does.
constexpr double kSmallestGutterMm = 0.05;
// A tile drawn to the very edge of the sheet must not be called off it.
constexpr double kSmallestOverhangMm = 0.01;

struct TileSums {
  double area = 0;
  double perimeter = 0;
};

TileSums SumOverCell(const Plan& plan) {
  TileSums sums;
  for (const CellMember& member : plan.lattice.cell) {
    const Outline& outline = plan.plates[static_cast<std::size_t>(member.plate)].outline;
    sums.area += std::abs(SignedArea(outline));
    sums.perimeter += Perimeter(outline);
  }
  return sums;
}

double CellArea(const Plan& plan) { return std::abs(Cross(plan.lattice.across, plan.lattice.down)); }

std::optional<std::string> GutterWarning(const Plan& plan) {
  // One row or one column leaves open what the lattice would do beside it.
  const Lattice& l = plan.lattice;
  if ((l.rows < 2 && !l.fit_rows) || (l.columns < 2 && !l.fit_columns)) return std::nullopt;
  const double gutter = MeanGutter(plan);
  if (std::abs(gutter) < kSmallestGutterMm) return std::nullopt;
  return fmt::format("the lattice cell is {:.1f} mm2 and {} {:.1f} mm2: about {:.2f} mm of {} between neighbours",
                     CellArea(plan), plan.lattice.cell.size() == 1 ? "the tile" : "the tiles in it together",
                     SumOverCell(plan).area, std::abs(gutter), gutter > 0 ? "gutter" : "overlap");
}

std::optional<std::string> OverhangWarning(const Plan& plan) {
  if (plan.lattice.fit_origin) return std::nullopt;  // Its places are not known yet.
  int hanging = 0;
  double worst = 0;
  Site worst_site;
  const char* worst_side = "";
  const std::vector<Site> sites = AllSites(plan.lattice);
  for (const Site site : sites) {
    const Box box = BoundingBox(Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site)));
    const std::pair<double, const char*> sides[] = {{-box.left, "left"},
                                                    {-box.top, "top"},
                                                    {box.right - plan.sheet.width_mm, "right"},
                                                    {box.bottom - plan.sheet.height_mm, "bottom"}};
    const auto side = *std::max_element(std::begin(sides), std::end(sides),
                                        [](const auto& a, const auto& b) { return a.first < b.first; });
    if (side.first <= kSmallestOverhangMm) continue;
    ++hanging;
    if (side.first > worst) worst = side.first, worst_site = site, worst_side = side.second;
  }
  if (hanging == 0) return std::nullopt;
  return fmt::format("{} of {} sites {} off the sheet, {} by {:.1f} mm at the {} edge", hanging, sites.size(),
                     hanging == 1 ? "hangs" : "hang",
                     (hanging == 1 ? "" : "most of all ") + SiteLabel(worst_site), worst, worst_side);
}

void AddUnusedPlates(const Plan& plan, std::vector<std::string>& warnings) {
  for (std::size_t i = 0; i < plan.plates.size(); ++i) {
    const auto stands = [&](const CellMember& m) { return m.plate == static_cast<int>(i); };
    if (std::none_of(plan.lattice.cell.begin(), plan.lattice.cell.end(), stands)) {
      warnings.push_back("plate " + plan.plates[i].name + " stands nowhere in the lattice");
    }
  }
}

void AddColourMapWarnings(const Plan& plan, std::vector<std::string>& warnings) {
  const auto columns = static_cast<std::size_t>(FileColumns(plan.lattice));
  const auto rows = static_cast<std::size_t>(plan.lattice.rows);
  if (plan.lattice.fit_rows || plan.lattice.fit_columns) return;
  for (std::size_t r = 0; r < plan.colour_map.size(); ++r) {
    const std::size_t n = plan.colour_map[r].size();
    if (n == columns) continue;
    warnings.push_back(fmt::format("row {} of the colour map has {} colours for {} sites: {}", r, n, columns,
                                   n < columns ? "it begins anew" : "the rest is not used"));
  }
  if (plan.colour_map.size() > rows) {
    warnings.push_back(fmt::format("the colour map has {} rows for {} rows of sites: the rest is not used",
                                   plan.colour_map.size(), rows));
  }
}

}  // namespace

double MeanGutter(const Plan& plan) {
  const TileSums sums = SumOverCell(plan);
  return 2 * (CellArea(plan) - sums.area) / sums.perimeter;
}

std::vector<std::string> PlanWarnings(const Plan& plan) {
  std::vector<std::string> warnings;
  if (const auto gutter = GutterWarning(plan)) warnings.push_back(*gutter);
  if (const auto overhang = OverhangWarning(plan)) warnings.push_back(*overhang);
  AddUnusedPlates(plan, warnings);
  AddColourMapWarnings(plan, warnings);
  return warnings;
}

}  // namespace truepull
