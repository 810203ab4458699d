// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <vector>

#include "edition/sheet_looks.h"
#include "truepull/colour.h"
#include "truepull/same_sheet.h"

namespace truepull {
namespace {

double OpacityOf(const Pass& pass) {
  if (!pass.opacity) return 0;
  return *pass.opacity == Opacity::kOpaque ? 1 : *pass.opacity == Opacity::kHalf ? 0.5 : 0;
}

std::optional<LinearColour> ColourOf(const Plan& plan, Site site) {
  int k = PlannedColour(plan, site);
  if (k < 0 && plan.colours.size() == 1) k = 0;
  return k >= 0 ? ColourOfHex(plan.colours[static_cast<std::size_t>(k)]) : std::nullopt;
}

}  // namespace

std::string PassByColour(const Reading& reading) {
  const Plan& plan = reading.plan;
  if (plan.passes.empty()) return "first";
  // One list of differences for the bare first pass and each later one. An earlier later
  // pass may lie beneath a later one or not: the nearer of the two counts.
  std::vector<std::vector<double>> off(plan.passes.size() + 1);
  for (const SiteReading& s : reading.sheet.sites) {
    const auto planned = ColourOf(plan, s.site);
    const auto seen = ColourOfHex(s.body_colour);
    if (s.state == SiteState::kMissing || !planned || !seen) continue;
    const Lab lab = LabOf(*seen);
    off[0].push_back(ColourDifference(lab, LabOf(*planned)));
    LinearColour pile = *planned;
    for (std::size_t k = 0; k < plan.passes.size(); ++k) {
      const auto ink = ColourOfHex(plan.passes[k].colour);
      if (!ink) continue;
      const LinearColour alone = Overprint(*planned, *ink, OpacityOf(plan.passes[k]));
      pile = Overprint(pile, *ink, OpacityOf(plan.passes[k]));
      off[k + 1].push_back(std::min(ColourDifference(lab, LabOf(alone)), ColourDifference(lab, LabOf(pile))));
    }
  }
  if (off[0].size() < 4) return "";
  std::vector<std::pair<double, std::size_t>> order;
  for (std::size_t k = 0; k < off.size(); ++k) {
    if (!off[k].empty()) order.emplace_back(MedianOfValues(off[k]), k);
  }
  if (order.size() < 2) return "";
  std::sort(order.begin(), order.end());
  if (order[1].first - order[0].first < kHardlyShows) return "";
  return order[0].second == 0 ? "first" : plan.passes[order[0].second - 1].name;
}

}  // namespace truepull
