// SPDX-License-Identifier: Apache-2.0
#include "truepull/plan.h"

#include <algorithm>

namespace truepull {

const Plate& PlateAt(const Plan& plan, Site site) {
  return plan.plates[static_cast<std::size_t>(MemberAt(plan.lattice, site).plate)];
}

Outline OutlineAt(const Plan& plan, Site site) {
  Outline outline = PlateAt(plan, site).outline;
  if (MemberAt(plan.lattice, site).mirrored) {
    for (Point& p : outline) p.x = -p.x;
    std::reverse(outline.begin(), outline.end());  // Keeps the sense of the walk.
  }
  return outline;
}

int PlannedColour(const Plan& plan, Site site) {
  if (plan.colour_map.empty()) return -1;
  const auto& row = plan.colour_map[static_cast<std::size_t>(site.row) % plan.colour_map.size()];
  return row.empty() ? -1 : row[static_cast<std::size_t>(site.column) % row.size()];
}

}  // namespace truepull
