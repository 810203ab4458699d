// SPDX-License-Identifier: Apache-2.0
#include "truepull/run_setting.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

double MedianOf(std::vector<double> v) {
  std::sort(v.begin(), v.end());
  const std::size_t n = v.size();
  return n % 2 == 1 ? v[n / 2] : (v[n / 2 - 1] + v[n / 2]) / 2;
}

double RobustMean(const std::vector<double>& values, double least_scale) {
  if (values.empty()) return 0;
  double mean = MedianOf(values);
  std::vector<double> off;
  for (const double v : values) off.push_back(std::abs(v - mean));
  const double scale = std::max(least_scale, MedianOf(off) / 0.6745);
  for (int k = 0; k < 50; ++k) {
    double sum = 0, weight = 0;
    for (const double v : values) {
      const double u = (v - mean) / (4.685 * scale);
      const double w = std::abs(u) < 1 ? (1 - u * u) * (1 - u * u) : 0;
      sum += w * v, weight += w;
    }
    if (weight <= 0) break;
    mean = sum / weight;
  }
  return mean;
}

RigidMove Common(const std::vector<RigidMove>& moves, Point centre, const Tolerance& tolerance) {
  std::vector<double> x, y, turn;
  for (const RigidMove& m : moves) x.push_back(m.shift.x), y.push_back(m.shift.y), turn.push_back(m.turn_rad);
  return {centre,
          {RobustMean(x, tolerance.shift_mm / 4), RobustMean(y, tolerance.shift_mm / 4)},
          RobustMean(turn, tolerance.turn_rad / 4)};
}

}  // namespace

RunSetting SetForRun(const Plan& plan, const std::vector<RunSheet>& sheets) {
  RunSetting out;
  const Point centre = LatticeCentre(plan.lattice);
  const std::vector<Site> sites = AllSites(plan.lattice);
  std::vector<RigidMove> all;
  std::map<std::string, std::vector<RigidMove>> by_group;
  for (const RunSheet& sheet : sheets) {
    const BlockMove block = PlaceBlocks(plan, 0, 0, sheet.impressions).front();
    RunShim s;
    s.impressions = block.impressions;
    // The same move told about the lattice's centre, so that sheets can be compared.
    s.own = {centre, Apply(block.move, centre) - centre, block.move.turn_rad};
    out.shims.push_back(s);
    if (s.impressions == 0) continue;
    all.push_back(s.own);
    by_group[sheet.group].push_back(s.own);
  }
  out.common = Common(all, centre, plan.tolerance);
  for (const auto& [group, moves] : by_group) out.groups[group] = Common(moves, centre, plan.tolerance);
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    RunShim& s = out.shims[i];
    if (s.impressions == 0) continue;
    s.shim = s.own.shift - out.common.shift;
    s.shim_turn_rad = WrapTurn(s.own.turn_rad - out.common.turn_rad);
    for (std::size_t k = 0; k < sites.size(); ++k) {
      const Pose ideal = IdealPose(plan.lattice, sites[k]);
      const Point middle = Apply(ideal, Centroid(OutlineAt(plan, sites[k])));
      const double shimmed = Norm(Apply(s.own, middle) - Apply(out.common, middle));
      s.needs_own = s.needs_own || shimmed > plan.tolerance.shift_mm;
      if (!sheets[i].impressions[k]) continue;
      const Point found = Apply(*sheets[i].impressions[k], Centroid(OutlineAt(plan, sites[k])));
      s.left_mm = std::max(s.left_mm, Norm(found - Apply(out.common, middle)));
    }
  }
  return out;
}

}  // namespace truepull
