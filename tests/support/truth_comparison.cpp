// SPDX-License-Identifier: Apache-2.0
#include "support/truth_comparison.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "truepull/units.h"

namespace truepull::testing {
namespace {

double Squared(double v) { return v * v; }

// Index of the plan's colour that a pull truly has; -1 when the truth names none of them.
int TrueColour(const Plan& plan, const TruthRow& row) {
  if (row.colour >= 0) return row.colour;
  for (std::size_t i = 0; i < plan.colours.size(); ++i) {
    if (plan.colours[i] == row.colour_hex) return static_cast<int>(i);
  }
  return -1;
}

}  // namespace

bool SiteError::gross() const {
  return std::hypot(dx_mm, dy_mm) > kGrossMm || std::abs(dturn_deg) > kGrossDeg;
}

void Comparison::Add(const Comparison& o) {
  sheets += o.sheets;
  refused += o.refused;
  present += o.present;
  absent += o.absent;
  false_finds += o.false_finds;
  lost += o.lost;
  state_right += o.state_right;
  colour_named += o.colour_named;
  colour_right += o.colour_right;
  invented.insert(invented.end(), o.invented.begin(), o.invented.end());
  missed.insert(missed.end(), o.missed.begin(), o.missed.end());
  errors.insert(errors.end(), o.errors.begin(), o.errors.end());
  coverage_errors.insert(coverage_errors.end(), o.coverage_errors.begin(), o.coverage_errors.end());
}

Comparison Compare(const Plan& plan, const std::vector<TruthRow>& truth, const SheetReading& reading) {
  if (truth.size() != reading.sites.size()) throw std::logic_error("truth and reading differ in their sites");
  Comparison c;
  c.sheets = 1;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const TruthRow& t = truth[i];
    const SiteReading& r = reading.sites[i];
    if (!(t.site == r.site)) throw std::logic_error("truth and reading are not in the same order");
    const bool there = t.state != SiteState::kMissing, found = r.state != SiteState::kMissing;
    c.present += there;
    c.absent += !there;
    c.false_finds += found && !there;
    c.lost += there && !found;
    if (found && !there) c.invented.push_back(t.site);
    if (there && !found) c.missed.push_back(t.site);
    if (!there || !found) continue;
    c.state_right += t.state == r.state;
    SiteError e;
    e.site = t.site;
    e.dx_mm = r.found.at.x - t.pose.at.x;
    e.dy_mm = r.found.at.y - t.pose.at.y;
    e.dturn_deg = DegFromRad(WrapTurn(r.found.turn_rad - t.pose.turn_rad));
    e.sd_x_mm = std::sqrt(r.covariance[0]);
    e.sd_y_mm = std::sqrt(r.covariance[4]);
    e.sd_turn_deg = DegFromRad(std::sqrt(r.covariance[8]));
    c.errors.push_back(e);
    c.coverage_errors.push_back(r.coverage - t.coverage);
    if (const int colour = TrueColour(plan, t); colour >= 0) {
      ++c.colour_named;
      c.colour_right += colour == r.colour;
    }
  }
  return c;
}

Comparison Refused(const std::vector<TruthRow>& truth) {
  Comparison c;
  c.sheets = c.refused = 1;
  for (const TruthRow& t : truth) {
    const bool there = t.state != SiteState::kMissing;
    c.present += there;
    c.absent += !there;
    c.lost += there;
  }
  return c;
}

double Quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  const double at = share * static_cast<double>(values.size() - 1);
  const std::size_t low = static_cast<std::size_t>(at), high = std::min(low + 1, values.size() - 1);
  return values[low] + (at - static_cast<double>(low)) * (values[high] - values[low]);
}

Figures Summarise(const Comparison& c) {
  Figures f;
  std::vector<double> distances, z2, coverage;
  double squares = 0, turn_squares = 0;
  int one = 0, two = 0;
  for (const SiteError& e : c.errors) {
    f.gross += e.gross();
    distances.push_back(std::hypot(e.dx_mm, e.dy_mm));
    squares += Squared(e.dx_mm) + Squared(e.dy_mm);
    turn_squares += Squared(e.dturn_deg);
    for (const double z : {e.dx_mm / e.sd_x_mm, e.dy_mm / e.sd_y_mm, e.dturn_deg / e.sd_turn_deg}) {
      z2.push_back(z * z);
      f.z_squared += z * z;
      one += std::abs(z) <= 1;
      two += std::abs(z) <= 2;
    }
  }
  for (const double v : c.coverage_errors) coverage.push_back(std::abs(v));
  const double n = std::max<double>(1, static_cast<double>(c.errors.size()));
  f.recall = c.present > 0 ? static_cast<double>(static_cast<int>(c.errors.size()) - f.gross) / c.present : 1;
  f.rms_mm = std::sqrt(squares / (2 * n));
  f.turn_rms_deg = std::sqrt(turn_squares / n);
  f.median_mm = Quantile(distances, 0.5);
  f.p95_mm = Quantile(distances, 0.95);
  f.worst_mm = Quantile(distances, 1);
  f.within_1_sd = one / (3 * n);
  f.within_2_sd = two / (3 * n);
  f.z_squared /= 3 * n;
  f.median_z_squared = Quantile(z2, 0.5);
  f.median_coverage_error = Quantile(coverage, 0.5);
  return f;
}

}  // namespace truepull::testing
