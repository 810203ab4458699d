// SPDX-License-Identifier: Apache-2.0
#include "truepull/drift.h"

#include <algorithm>
#include <cmath>

#include "drift/seams.h"
#include "drift/sheet_part.h"

namespace truepull {
namespace {

bool Beyond(const Tolerance& tolerance, Point shift, double turn_rad) {
  return Norm(shift) > tolerance.shift_mm || std::abs(turn_rad) > tolerance.turn_rad;
}

// The hand's own turns: each tile's turn less the sheet's, their habit and spread.
void MeasureHandTurns(DriftReport& report) {
  std::vector<double> turns, variances;
  for (const SiteDrift& d : report.sites) {
    if (d.state == SiteState::kMissing) continue;
    turns.push_back(d.hand_turn_rad);
    variances.push_back(d.covariance[8]);
  }
  // A tile put down upside down lies beyond the limit of the robust spread.
  const RobustSpread spread = SpreadOf(turns, variances);
  report.hand_habit_turn_rad = spread.mean;
  report.hand_sd_turn_rad = turns.size() > 1 ? spread.sd : 0;
}

}  // namespace

DriftReport MeasureDrift(const Plan& plan, const SheetReading& reading) {
  DriftReport report;
  std::vector<FoundPlace> places;
  std::vector<std::optional<Pose>> poses;
  std::vector<PoseCovariance> covariances;
  for (const SiteReading& r : reading.sites) {
    SiteDrift d;
    d.site = r.site;
    d.state = r.state;
    d.ideal = IdealPose(plan.lattice, r.site);
    if (r.state == SiteState::kMissing) {
      ++report.missing;
      poses.emplace_back();
      covariances.emplace_back();
      report.sites.push_back(d);
      continue;
    }
    ++(r.state == SiteState::kWeak ? report.weak : report.printed);
    d.found = r.found;
    d.shift = r.found.at - d.ideal.at;
    d.turn_rad = WrapTurn(r.found.turn_rad - d.ideal.turn_rad);
    d.covariance = r.covariance;
    d.beyond_tolerance = Beyond(plan.tolerance, d.shift, d.turn_rad);
    report.beyond += d.beyond_tolerance ? 1 : 0;
    const PoseCovariance& c = r.covariance;
    places.push_back({d.ideal.at, r.found.at, {c[0], c[1], c[3], c[4]}});
    poses.emplace_back(r.found);
    covariances.push_back(c);
    report.sites.push_back(d);
  }
  if (places.empty()) return report;

  const SheetPartFit fit = FitSheetPart(places, LatticeCentre(plan.lattice));
  report.sheet_part = fit.part;
  report.hand_sd_mm = fit.hand_sd_mm;
  report.has_hand_sd = fit.has_hand_sd;
  double furthest = -1;
  for (SiteDrift& d : report.sites) {
    if (d.state == SiteState::kMissing) continue;
    d.hand_shift = d.found.at - ApplySheetPart(fit.part, d.ideal.at);
    d.hand_turn_rad = WrapTurn(d.turn_rad - fit.part.turn_rad);
    d.beyond_hand = Beyond(plan.tolerance, d.hand_shift, d.hand_turn_rad);
    report.beyond_hand += d.beyond_hand ? 1 : 0;
    if (Norm(d.shift) > furthest) {
      furthest = Norm(d.shift);
      report.worst = d.site;
    }
  }
  MeasureHandTurns(report);
  report.seams = MeasureSeamsWithSpread(plan, poses, covariances);
  return report;
}

}  // namespace truepull
