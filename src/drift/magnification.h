// SPDX-License-Identifier: Apache-2.0
// How much drift is magnified where it is drawn, alike in the picture and on the page.
#ifndef TRUEPULL_DRIFT_MAGNIFICATION_H_
#define TRUEPULL_DRIFT_MAGNIFICATION_H_

#include <algorithm>
#include <cmath>
#include <vector>

#include "truepull/drift.h"

namespace truepull {

/// 1, 2, 5, 10, 20 or 50: the largest at which nine arrows in ten stay within 0.4 of the
/// way to the next tile. `hand`: of the hand's part instead of the whole drift.
inline int Magnification(const Plan& plan, const DriftReport& drift, bool hand) {
  std::vector<double> sizes;
  for (const SiteDrift& d : drift.sites) {
    if (d.state != SiteState::kMissing) sizes.push_back(Norm(hand ? d.hand_shift : d.shift));
  }
  if (sizes.empty()) return 1;
  std::sort(sizes.begin(), sizes.end());
  const double typical = std::max(1e-3, sizes[(sizes.size() - 1) * 9 / 10]);
  const Lattice& l = plan.lattice;
  // The root of a tile's share of the plane: its width, whatever the lattice's shape.
  const double room = 0.4 * std::sqrt(std::abs(Cross(l.across, l.down)) / static_cast<double>(l.cell.size()));
  int best = 1;
  for (const int m : {2, 5, 10, 20, 50}) {
    if (m * typical <= room) best = m;
  }
  return best;
}

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_MAGNIFICATION_H_
