// SPDX-License-Identifier: Apache-2.0
#include "edition/components.h"

#include <array>
#include <cmath>

#include "edition/plate_fault.h"

namespace truepull {

std::vector<Component> VarianceComponents(const std::vector<EditionSheet>& sheets, const std::vector<SheetReview>& reviews,
                                          const std::vector<SheetFit>& fits, const std::vector<PlateFault>& plates,
                                          const std::vector<BlockFault>& blocks) {
  constexpr std::array<const char*, 6> kNames{"paper or creep", "plate", "block", "habit", "chance of the hand", "measuring"};
  std::vector<std::array<double, 6>> squares;
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    const SheetFit& fit = fits[k];
    const SheetReview& r = reviews[k];
    if (fit.sites.empty() || r.photo.too_poor) continue;
    std::array<double, 6> s{};
    const double turn = (fit.map[2] - fit.map[1]) / 2;
    const double e_xx = fit.map[0], e_yy = fit.map[3], e_xy = (fit.map[1] + fit.map[2]) / 2;
    const Plan& plan = sheets[k].reading.plan;
    for (std::size_t i = 0; i < fit.sites.size(); ++i) {
      const Point o = fit.offset[i];
      const Point grown{e_xx * o.x + e_xy * o.y, e_xy * o.x + e_yy * o.y};
      const Point turned = fit.shift + Point{-turn * o.y, turn * o.x};
      s[0] += Dot(grown, grown);
      s[3] += Dot(turned, turned);
      const SiteDrift& d = r.drift.sites[fit.sites[i]];
      for (const PlateFault& f : plates) {
        const Point p = PlateShiftAt(plan, f, d.site);
        s[1] += Dot(p, p);
      }
      for (const BlockFault& f : blocks) s[2] += f.site == d.site ? Dot(f.shift, f.shift) : 0;
      s[5] += d.covariance[0] + d.covariance[4];
    }
    const auto n = static_cast<double>(fit.sites.size());
    for (double& v : s) v /= n;
    s[4] = 2 * r.hand_sd_mm * r.hand_sd_mm;  // Both axes, like the rest.
    squares.push_back(s);
  }
  std::vector<Component> out;
  const auto n = static_cast<double>(squares.size());
  for (std::size_t c = 0; c < kNames.size() && n > 0; ++c) {
    double mean = 0, scatter = 0;
    for (const auto& s : squares) mean += s[c] / n;
    for (const auto& s : squares) scatter += std::pow(s[c] - mean, 2);
    Component part{kNames[c], std::sqrt(mean), 0};
    if (n > 1 && mean > 0) part.sd_mm = std::sqrt(scatter / (n - 1) / n) / (2 * part.rms_mm);
    out.push_back(part);
  }
  return out;
}

}  // namespace truepull
