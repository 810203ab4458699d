// SPDX-License-Identifier: Apache-2.0
#include "truepull/same_sheet.h"

#include <algorithm>
#include <cmath>

#include "edition/sheet_fit.h"

namespace truepull {
namespace {

// What differs between two patterns once shift, turn and stretch are fitted away.
struct Difference {
  double variance = 0, freedom = 0;   // Per axis; freedom 0: it cannot be told.
  double unrelated = 0;               // What it would be, had the two nothing in common.
};

DriftReport PatternOf(const Plan& plan, const std::vector<std::pair<Site, Point>>& moves) {
  DriftReport out;
  for (const auto& [site, move] : moves) {
    SiteDrift d;
    d.state = SiteState::kPrinted;
    d.ideal = IdealPose(plan.lattice, site);
    d.shift = move;
    out.sites.push_back(d);
  }
  SheetPart part;
  part.has_stretch_x = part.has_stretch_y = true;
  out.sheet_part = part;
  return out;
}

Difference DifferenceOf(const Reading& a, const Reading& b) {
  Difference out;
  if (a.sheet.sites.size() != b.sheet.sites.size()) return out;
  std::vector<std::pair<Site, Point>> both, first, second;
  for (std::size_t i = 0; i < a.sheet.sites.size(); ++i) {
    const SiteReading &p = a.sheet.sites[i], &q = b.sheet.sites[i];
    if (p.state == SiteState::kMissing || q.state == SiteState::kMissing) continue;
    const Point ideal = IdealPose(a.plan.lattice, p.site).at;
    both.emplace_back(p.site, q.found.at - p.found.at);
    first.emplace_back(p.site, p.found.at - ideal), second.emplace_back(p.site, q.found.at - ideal);
  }
  if (both.size() < 7) return out;
  const Point centre = LatticeCentre(a.plan.lattice);
  const SheetFit fit = FitSheet(PatternOf(a.plan, both), centre);
  if (fit.freedom < 3) return out;
  out.variance = std::max(1e-12, fit.Variance()), out.freedom = 2 * fit.freedom;
  out.unrelated = FitSheet(PatternOf(a.plan, first), centre).Variance() + FitSheet(PatternOf(a.plan, second), centre).Variance();
  return out;
}

}  // namespace

SheetMatch MatchSheet(const Reading& later, const std::vector<const Reading*>& firsts, double level) {
  SheetMatch out;
  std::vector<std::pair<double, std::size_t>> order;
  std::vector<Difference> differences;
  for (std::size_t k = 0; k < firsts.size(); ++k) {
    differences.push_back(DifferenceOf(*firsts[k], later));
    if (differences[k].freedom > 0) order.emplace_back(differences[k].variance, k);
  }
  if (order.empty()) return out;
  std::sort(order.begin(), order.end());
  const Difference& best = differences[order[0].second];
  out.sheet = order[0].second;
  out.difference_mm = std::sqrt(best.variance);
  const double each = level / static_cast<double>(order.size());
  out.found = ChanceOfF(best.unrelated / best.variance, best.freedom, best.freedom) < each;
  if (order.size() > 1) {
    const Difference& next = differences[order[1].second];
    out.next_mm = std::sqrt(next.variance);
    out.found = out.found && ChanceOfF(next.variance / best.variance, next.freedom, best.freedom) < each;
  }
  return out;
}

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
