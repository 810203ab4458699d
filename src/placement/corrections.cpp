// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "truepull/placement.h"

namespace truepull {
namespace {

const Correction* Find(const std::vector<Correction>& corrections, Site site) {
  const auto it = std::find_if(corrections.begin(), corrections.end(),
                               [&](const Correction& c) { return c.site == site; });
  return it == corrections.end() ? nullptr : &*it;
}

}  // namespace

const char* NameOf(Action action) {
  switch (action) {
    case Action::kPull: return "pull";
    case Action::kStrengthen: return "strengthen";
    case Action::kLeave: return "leave";
    default: return "look";
  }
}

Reading ApplyCorrections(Reading reading, const std::vector<Correction>& corrections) {
  for (SiteReading& site : reading.sheet.sites) {
    const Correction* c = Find(corrections, site.site);
    if (c == nullptr) continue;
    if (c->not_a_pull || c->state == SiteState::kMissing) {
      SiteReading empty;
      empty.site = site.site;
      empty.coverage = site.coverage;
      site = empty;
      continue;
    }
    if (site.state == SiteState::kMissing) continue;  // No pose to correct.
    if (c->state) site.state = *c->state;
    site.found.at = site.found.at + c->nudge_mm;
    site.found.turn_rad = WrapTurn(site.found.turn_rad + c->nudge_turn_rad);
  }
  return reading;
}

std::string NeedsALook(const Plan& plan,
                       const SiteDrift& drift,
                       const std::vector<Correction>& corrections) {
  const Correction* c = Find(corrections, drift.site);
  // A printer who has named an action has looked.
  if (c != nullptr && (c->accepted || (c->action && *c->action != Action::kLook))) return "";
  if (c != nullptr && c->action == Action::kLook) {
    return c->reason.empty() ? "marked for a look" : c->reason;
  }
  switch (drift.state) {
    case SiteState::kMissing:
      return c != nullptr && c->not_a_pull ? "not a pull" : "no impression found";
    case SiteState::kWeak: return "weak impression";
    default: break;
  }
  if (!drift.beyond_tolerance) return "";
  const double turn = std::round(DegFromRad(plan.tolerance.turn_rad) * 1e6) / 1e6;
  return fmt::format("{:.1f} mm and {:.1f} degrees from its ideal place (tolerance {:g} mm, {:g} degree{})",
                     Norm(drift.shift), DegFromRad(std::abs(drift.turn_rad)),
                     plan.tolerance.shift_mm, turn, turn == 1 ? "" : "s");
}

}  // namespace truepull
