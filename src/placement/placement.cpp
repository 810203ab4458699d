// SPDX-License-Identifier: Apache-2.0
#include "truepull/placement.h"

#include "truepull/pull_order.h"

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

void NumberPulls(const Plan& plan, std::vector<Placement>& placements, bool first_colours, bool left_handed) {
  Plan pulled = plan;
  if (!first_colours) pulled.colours.clear(), pulled.colour_map.clear();
  PullOrderRequest request;
  request.left_handed = left_handed;
  const auto order = OrderPulls(pulled, request);
  if (!order) return;  // Only impossible times can fail, and there are none.
  int number = 0;
  const int columns = FileColumns(plan.lattice);
  for (const PlannedPull& pull : order->pulls) {
    const auto at = static_cast<std::size_t>(pull.site.row * columns + pull.site.column);
    if (at >= placements.size()) continue;
    placements[at].order = placements[at].action == Action::kLeave ? 0 : ++number;
  }
}

}  // namespace truepull
