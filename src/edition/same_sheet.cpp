// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

SameSheet CompareSheets(const Reading& a, const Reading& b, double usual_mm) {
  SameSheet out;
  out.difference_mm = -1;
  if (a.sheet.sites.size() != b.sheet.sites.size()) return out;
  // The difference of the two as a drift of its own: shift, turn and stretch, which belong
  // to how each photo was framed, are fitted away.
  DriftReport difference;
  double measuring = 0, own = 0, turn_difference = 0, turn_measuring = 0;
  DriftReport first;
  for (std::size_t i = 0; i < a.sheet.sites.size(); ++i) {
    const SiteReading &p = a.sheet.sites[i], &q = b.sheet.sites[i];
    if (p.state == SiteState::kMissing || q.state == SiteState::kMissing) continue;
    SiteDrift d;
    d.state = SiteState::kPrinted;
    d.ideal = IdealPose(a.plan.lattice, p.site);
    d.shift = q.found.at - p.found.at;
    difference.sites.push_back(d);
    measuring += (p.covariance[0] + p.covariance[4] + q.covariance[0] + q.covariance[4]) / 2;
    turn_difference += std::pow(WrapTurn(q.found.turn_rad - p.found.turn_rad), 2);
    turn_measuring += p.covariance[8] + q.covariance[8];
    d.shift = p.found.at - d.ideal.at;
    first.sites.push_back(d);
  }
  const auto n = static_cast<double>(difference.sites.size());
  if (n < 6) return out;
  SheetPart part;
  part.has_stretch_x = part.has_stretch_y = true;
  difference.sheet_part = first.sheet_part = part;
  const Point centre = LatticeCentre(a.plan.lattice);
  const SheetFit fit = FitSheet(difference, centre), hand = FitSheet(first, centre);
  if (fit.freedom < 3) return out;
  out.difference_mm = std::sqrt(fit.Variance());
  own = std::sqrt(2 * hand.Variance());  // What two such sheets would differ by.
  const double sure = std::sqrt(measuring / n);
  const double usual = usual_mm > 0 ? std::min(usual_mm, own) : own;
  // A third: different hand-pulled sheets of 6 sites or more come so close once in a million.
  out.same = usual > 0.05 && out.difference_mm < usual / 3 && out.difference_mm < 3 * sure + 0.05 &&
             turn_difference / n < 9 * (turn_measuring / n) + 1e-5;
  return out;
}

}  // namespace truepull
