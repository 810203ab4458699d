// SPDX-License-Identifier: Apache-2.0
#include "detect/plate_edges.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "geometry/median.h"

namespace truepull::detect {
std::vector<PlateEdges> MeasurePlateEdges(const Plan& plan, const std::vector<Site>& sites, const std::vector<Pull>& pulls) {
  std::map<std::pair<int, bool>, std::vector<std::size_t>> kinds;
  for (std::size_t i = 0; i < pulls.size(); ++i) {
    const CellMember& member = MemberAt(plan.lattice, sites[i]);
    if (pulls[i].present && !pulls[i].edge_out_mm.empty()) kinds[{member.plate, member.mirrored}].push_back(i);
  }
  std::vector<PlateEdges> out;
  for (const auto& [kind, members] : kinds) {
    if (members.size() < 3) continue;
    const auto& edge = pulls[members[0]].shape->edge;
    const double length = Perimeter(pulls[members[0]].shape->outline);
    const auto parts = static_cast<std::size_t>(std::clamp(std::lround(length / 5), 12L, 120L));
    PlateEdges edges;
    edges.plate = kind.first, edges.mirrored = kind.second;
    std::vector<std::vector<double>> of_part(parts);
    for (const std::size_t i : members) {
      std::vector<double> sum(parts), n(parts);
      for (std::size_t k = 0; k < edge.size() && k < pulls[i].edge_out_mm.size(); ++k) {
        const double v = static_cast<double>(pulls[i].edge_out_mm[k]);
        if (std::isnan(v)) continue;
        const auto part = std::min(parts - 1, static_cast<std::size_t>(edge[k].along_mm / length * static_cast<double>(parts)));
        sum[part] += v, n[part] += 1;
      }
      for (std::size_t p = 0; p < parts; ++p) {
        if (n[p] >= 3) of_part[p].push_back(sum[p] / n[p]);
      }
    }
    for (std::vector<double>& v : of_part) {
      if (v.size() < 3) {
        edges.out_mm.push_back(0), edges.sd_mm.push_back(1);
        continue;
      }
      const double median = Median(v);
      std::vector<double> off;
      for (const double x : v) off.push_back(std::abs(x - median));
      // 1.4826: from the median distance to a standard deviation; 1.2533: a median's is so
      // much larger than a mean's.
      edges.out_mm.push_back(median);
      edges.sd_mm.push_back(std::max(0.01, 1.2533 * 1.4826 * Median(off) / std::sqrt(static_cast<double>(v.size()))));
    }
    out.push_back(std::move(edges));
  }
  return out;
}

}  // namespace truepull::detect
