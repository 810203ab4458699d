// SPDX-License-Identifier: Apache-2.0
#include "truepull/pass_register.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drift/sheet_part.h"

namespace truepull {

PassRegister RegisterBetween(const Plan& plan, const SheetReading& later, const SheetReading& earlier, double growth_x, double growth_y) {
  PassRegister out;
  std::vector<double> x, y, turn, var_x, var_y, var_turn;
  for (std::size_t i = 0; i < later.sites.size() && i < earlier.sites.size(); ++i) {
    const SiteReading& a = later.sites[i];
    const SiteReading& b = earlier.sites[i];
    if (a.state == SiteState::kMissing || b.state == SiteState::kMissing) continue;
    const Point middle = Centroid(OutlineAt(plan, a.site));
    const Point before = Apply(b.found, middle);
    SiteRegister r;
    r.site = a.site;
    r.shift = Apply(a.found, middle) - Point{before.x * (1 + growth_x), before.y * (1 + growth_y)};
    r.turn_rad = WrapTurn(a.found.turn_rad - b.found.turn_rad);
    // The middle's spread: the reference point's, and what the turn does to the arm between.
    const Point arm = Rotation(a.found.turn_rad) * middle;
    const auto spread = [&](const PoseCovariance& c) {
      return std::pair(c[0] - 2 * arm.y * c[2] + arm.y * arm.y * c[8], c[4] + 2 * arm.x * c[5] + arm.x * arm.x * c[8]);
    };
    const auto [ax, ay] = spread(a.covariance);
    const auto [bx, by] = spread(b.covariance);
    r.sd_x_mm = std::sqrt(std::max(0.0, ax + bx));
    r.sd_y_mm = std::sqrt(std::max(0.0, ay + by));
    r.sd_turn_rad = std::sqrt(a.covariance[8] + b.covariance[8]);
    x.push_back(r.shift.x), y.push_back(r.shift.y), turn.push_back(r.turn_rad);
    var_x.push_back(r.sd_x_mm * r.sd_x_mm), var_y.push_back(r.sd_y_mm * r.sd_y_mm), var_turn.push_back(r.sd_turn_rad * r.sd_turn_rad);
    if (Norm(r.shift) >= out.worst_mm) out.worst_mm = Norm(r.shift), out.worst = r.site;
    out.sites.push_back(r);
  }
  if (out.sites.empty()) return out;
  const RobustSpread sx = SpreadOf(x, var_x), sy = SpreadOf(y, var_y), st = SpreadOf(turn, var_turn);
  out.mean = {sx.mean, sy.mean};
  out.mean_turn_rad = st.mean;
  out.spread_mm = std::sqrt((sx.sd * sx.sd + sy.sd * sy.sd) / 2);
  out.spread_turn_rad = st.sd;
  double variance = 0;
  for (std::size_t i = 0; i < x.size(); ++i) variance += (var_x[i] + var_y[i]) / 2;
  const auto n = static_cast<double>(x.size());
  out.sd_mean_mm = std::sqrt((variance / n + out.spread_mm * out.spread_mm) / n);
  // Of 2 n values about two means: the sd of a standard deviation is its share 1 / sqrt(2 (2 n - 2)), and
  // what measuring adds to each value widens it in proportion.
  const double each = out.spread_mm * out.spread_mm + variance / n;
  if (n >= 2 && out.spread_mm > 0) out.sd_spread_mm = each / out.spread_mm / std::sqrt(2 * (2 * n - 2));
  return out;
}

std::vector<std::string> ChainOf(const Plan& plan, const std::string& pass) {
  std::vector<std::string> chain{pass};
  while (chain.back() != "first" && chain.size() <= plan.passes.size() + 1) {
    const auto at = std::find_if(plan.passes.begin(), plan.passes.end(), [&](const Pass& p) { return p.name == chain.back(); });
    if (at == plan.passes.end()) break;
    chain.push_back(at->registers_to);
  }
  return chain;
}

std::string ChainWords(const Plan& plan, const std::string& pass) {
  const std::vector<std::string> chain = ChainOf(plan, pass);
  if (chain.size() < 3) return "";
  std::string way;
  for (std::size_t i = 0; i + 1 < chain.size(); ++i) way += fmt::format("{}{} goes by {}", i == 0 ? "" : ", ", chain[i], chain[i + 1]);
  return fmt::format("{}: each adds its own error, so that {} will lie on {} with {:.1f} times the spread of one placement; set all passes "
                     "by one (registers_to: {}) and it stays 1.0 times",
                     way, chain.front(), chain.back(), std::sqrt(static_cast<double>(chain.size() - 1)), chain.back());
}

}  // namespace truepull
