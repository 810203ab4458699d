// SPDX-License-Identifier: Apache-2.0
#include "detect/measured_prints.h"

#include <algorithm>

namespace truepull::detect {
namespace {

constexpr double kGoodPulls = 0.8;     // Quantile, as for a full pull's density.
constexpr double kLeast = 0.05;        // The plan's own bound.

}  // namespace

std::vector<double> PrintsOf(const Plan& plan, const std::vector<Site>& sites, const std::vector<Pull>& pulls, const std::vector<Ink>& inks) {
  std::vector<double> out;
  for (const Plate& plate : plan.plates) {
    out.push_back(plate.prints);
    if (!plate.prints_measured) continue;
    std::vector<double> coverage;
    for (std::size_t i = 0; i < pulls.size(); ++i) {
      if (pulls[i].present && &PlateAt(plan, sites[i]) == &plate) coverage.push_back(inks[i].coverage);
    }
    if (coverage.empty()) continue;
    std::sort(coverage.begin(), coverage.end());
    const auto at = static_cast<std::size_t>(kGoodPulls * static_cast<double>(coverage.size() - 1) + 0.5);
    out.back() = std::max(kLeast, coverage[at]);
  }
  return out;
}

}  // namespace truepull::detect
