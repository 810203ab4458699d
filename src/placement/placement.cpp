// SPDX-License-Identifier: Apache-2.0
#include "truepull/placement.h"

namespace truepull {

std::vector<Placement> PlaceFirstPass(const Plan& plan) {
  std::vector<Placement> out;
  for (const Site site : AllSites(plan.lattice)) {
    Placement p;
    p.site = site;
    p.place = IdealPose(plan.lattice, site);
    out.push_back(p);
  }
  return out;
}

Result<PullOrder> NumberPulls(const Plan& plan, std::vector<Placement>& placements, bool first_colours,
                              PullOrderRequest times) {
  Plan pulled = plan;
  if (!first_colours) pulled.colours.clear(), pulled.colour_map.clear();
  for (const Placement& p : placements) {
    if (p.action == Action::kLeave) times.skip.push_back(p.site);
  }
  auto order = OrderPulls(pulled, times);
  if (!order) return order.error();
  int number = 0;
  const int columns = FileColumns(plan.lattice);
  for (const PlannedPull& pull : order->pulls) {
    const auto at = static_cast<std::size_t>(pull.site.row * columns + pull.site.column);
    if (at < placements.size()) placements[at].order = ++number;
  }
  return order;
}

}  // namespace truepull
