// SPDX-License-Identifier: Apache-2.0
#include "edition/scatter_trend.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "truepull/pull_order.h"

namespace truepull {
namespace {

constexpr std::size_t kLeastSites = 8;

std::vector<double> OrderOf(const Plan& plan, const DriftReport& drift, const SheetFit& fit) {
  const auto order = OrderPulls(plan, {});
  std::vector<double> out;
  if (!order) return out;
  std::map<Site, double> at;
  for (std::size_t k = 0; k < order->pulls.size(); ++k) at[order->pulls[k].site] = static_cast<double>(k);
  for (const std::size_t i : fit.sites) out.push_back(at[drift.sites[i].site]);
  return out;
}

}  // namespace

ScatterTrend FindScatterTrend(const Plan& plan, const DriftReport& drift, const SheetFit& fit) {
  ScatterTrend out;
  const std::size_t n = fit.sites.size();
  if (n < kLeastSites || fit.freedom < 4) return out;
  std::vector<double> distance, x, y;
  for (std::size_t i = 0; i < n; ++i) {
    distance.push_back(Norm(fit.residual[i]) / std::sqrt(std::max(0.1, 1 - fit.leverage[i])));
    x.push_back(fit.offset[i].x), y.push_back(fit.offset[i].y);
  }
  double best = 0;
  const auto look = [&](TrendAlong along, const std::vector<double>& v) {
    if (v.size() != n) return;
    double mv = 0, md = 0, vv = 0, vd = 0, dd = 0;
    for (std::size_t i = 0; i < n; ++i) mv += v[i] / static_cast<double>(n), md += distance[i] / static_cast<double>(n);
    for (std::size_t i = 0; i < n; ++i) {
      vv += (v[i] - mv) * (v[i] - mv), vd += (v[i] - mv) * (distance[i] - md), dd += (distance[i] - md) * (distance[i] - md);
    }
    if (vv <= 0 || dd <= 0) return;
    const double r = vd / std::sqrt(vv * dd), freedom = static_cast<double>(n) - 2;
    const double t = r * std::sqrt(freedom / std::max(1e-12, 1 - r * r));
    if (std::abs(t) <= best) return;
    best = std::abs(t);
    out.along = along;
    out.p = AmongMany(ChanceOfT(t, freedom), 3);
    const auto [low, high] = std::minmax_element(v.begin(), v.end());
    // The mean distance of normal scatter in a plane is sqrt(pi / 2) of its spread per axis.
    const double per_axis = std::sqrt(2 / std::numbers::pi);
    out.begins_mm = std::max(0.0, per_axis * (md + vd / vv * (*low - mv)));
    out.ends_mm = std::max(0.0, per_axis * (md + vd / vv * (*high - mv)));
  };
  look(TrendAlong::kAcross, x);
  look(TrendAlong::kDown, y);
  look(TrendAlong::kOrder, OrderOf(plan, drift, fit));
  return out;
}

}  // namespace truepull
