// SPDX-License-Identifier: Apache-2.0
#include <boost/math/distributions/normal.hpp>
#include <numbers>

#include "truepull/tolerance_factor.h"
#include "truepull/trap.h"

namespace truepull {

TrapWidth TrapFor(double sd_mm, double closes, int sites) {
  TrapWidth out;
  out.closes = closes;
  out.sites = sites;
  const double one = sites >= 2 ? ToleranceFactorOneSided(sites, closes, 0.95)
                                : boost::math::quantile(boost::math::normal(), closes);
  out.factor = std::numbers::sqrt2 * one;
  out.width_mm = out.factor * sd_mm;
  return out;
}

}  // namespace truepull
