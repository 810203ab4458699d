// SPDX-License-Identifier: Apache-2.0
#include "edition/block_fault.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

struct SiteSum {
  Point sum;
  double weight = 0;   // Sum of 1 - leverage: a residual's share of the error that made it.
  int sheets = 0;
};

}  // namespace

std::vector<BlockFault> FindBlockFaults(const std::vector<const DriftReport*>& drifts, Point centre,
                                        const ReviewThresholds& thresholds, double* least_p) {
  std::vector<BlockFault> faults;
  if (least_p != nullptr) *least_p = 1;
  if (drifts.size() < 3) return faults;
  const std::size_t n = drifts[0]->sites.size();
  std::vector<char> left_out(n, 0);
  for (std::size_t round = 0; round <= n / 4; ++round) {
    std::vector<SiteSum> sums(n);
    std::vector<SheetFit> fits;
    for (const DriftReport* d : drifts) fits.push_back(FitSheet(*d, centre, left_out));
    double square = 0, freedom = 0;
    for (const SheetFit& fit : fits) {
      for (std::size_t i = 0; i < fit.sites.size(); ++i) {
        SiteSum& s = sums[fit.sites[i]];
        s.sum = s.sum + fit.residual[i];
        s.weight += 1 - fit.leverage[i];
        s.sheets += 1;
        square += Dot(fit.residual[i], fit.residual[i]);
      }
      freedom += 2 * std::max(0.0, fit.freedom);
    }
    // The pattern's own share goes out of the spread, site by site.
    for (const SiteSum& s : sums) {
      if (s.sheets > 0 && s.weight > 0) square -= Dot(s.sum, s.sum) / s.sheets, freedom -= 2 * s.weight / s.sheets;
    }
    if (freedom < 4) break;
    const double variance = std::max(1e-12, square / freedom);
    BlockFault best;
    double best_f = 0;
    int looked = 0;
    for (std::size_t i = 0; i < n; ++i) {
      const SiteSum& s = sums[i];
      if (s.sheets < 3 || s.weight < 0.3 * s.sheets) continue;
      ++looked;
      // E |sum|^2 = 2 variance x weight when sheets are independent.
      const double f = Dot(s.sum, s.sum) / (2 * variance * s.weight);
      if (f <= best_f) continue;
      best_f = f;
      best.site = drifts[0]->sites[i].site;
      best.shift = (1 / s.weight) * s.sum;
      best.sd_mm = std::sqrt(variance / s.weight);
      best.sheets = s.sheets;
    }
    best.p = AmongMany(ChanceOfF(best_f, 2, freedom), looked);
    if (round == 0 && least_p != nullptr) *least_p = best.p;
    if (looked < 4 || best.p >= thresholds.level || Norm(best.shift) <= thresholds.least_mm) break;
    faults.push_back(best);
    for (std::size_t i = 0; i < n; ++i) left_out[i] = left_out[i] != 0 || drifts[0]->sites[i].site == best.site;
  }
  return faults;
}

}  // namespace truepull
