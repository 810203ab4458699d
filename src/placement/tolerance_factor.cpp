// SPDX-License-Identifier: Apache-2.0
// Statistical tolerance factors by the noncentral t distribution.
#include "truepull/trap.h"

#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <cmath>
#include <numbers>

namespace truepull {
namespace {

double Quantile(double share) { return boost::math::quantile(boost::math::normal(), share); }

}  // namespace

double ToleranceFactor(int n, double content, double confidence) {
  const double root = std::sqrt(static_cast<double>(n));
  return boost::math::quantile(boost::math::non_central_t(n - 1, Quantile(content) * root), confidence) / root;
}

TrapWidth TrapFor(double sd_mm, double closes, int sites) {
  TrapWidth out;
  out.closes = closes;
  out.sites = sites;
  out.factor = std::numbers::sqrt2 * (sites >= 2 ? ToleranceFactor(sites, closes, 0.95) : Quantile(closes));
  out.width_mm = out.factor * sd_mm;
  return out;
}

}  // namespace truepull
