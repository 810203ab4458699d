// SPDX-License-Identifier: Apache-2.0
#include "truepull/placement.h"

#include <algorithm>

#include "placement/neighbour_fit.h"

namespace truepull {
namespace {

void SetFromIdeal(Placement& p, const Pose& ideal) {
  p.from_ideal = p.place.at - ideal.at;
  p.from_ideal_turn_rad = WrapTurn(p.place.turn_rad - ideal.turn_rad);
}

Action ActionFor(SiteState state) {
  switch (state) {
    case SiteState::kPrinted: return Action::kPull;
    case SiteState::kWeak: return Action::kStrengthen;
    default: return Action::kLook;
  }
}

}  // namespace

std::vector<Placement> PlaceNextPass(const Reading& reading,
                                     const std::vector<Correction>& corrections) {
  const Reading corrected = ApplyCorrections(reading, corrections);
  const Plan& plan = corrected.plan;
  const DriftReport report = MeasureDrift(plan, corrected.sheet);
  std::vector<Placement> out;
  out.reserve(report.sites.size());
  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    const SiteDrift& s = report.sites[i];
    const auto word = std::find_if(corrections.begin(), corrections.end(),
                                   [&](const Correction& c) { return c.site == s.site; });
    const bool has_word = word != corrections.end();
    Placement p;
    p.site = s.site;
    p.action = ActionFor(s.state);
    p.place = s.found;
    if (s.state == SiteState::kMissing) {
      p.place = FitToNeighbours(plan, report, i);
      p.reason = "the place fits its neighbours";
      // The printer sees an impression where the photo shows none.
      if (has_word && word->state && *word->state != SiteState::kMissing && !word->not_a_pull) {
        p.action = ActionFor(*word->state);
      }
      if (has_word) {
        p.place.at = p.place.at + word->nudge_mm;
        p.place.turn_rad = WrapTurn(p.place.turn_rad + word->nudge_turn_rad);
      }
    }
    if (has_word) {
      if (word->action) p.action = *word->action;
      if (!word->reason.empty()) p.reason = word->reason;
      p.corrected = true;
    }
    SetFromIdeal(p, s.ideal);
    out.push_back(p);
  }
  return out;
}

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

}  // namespace truepull
