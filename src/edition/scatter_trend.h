// SPDX-License-Identifier: Apache-2.0
// Whether the hand's spread changes over a sheet: from side to side, top to bottom, or along
// the order of the pulls.
#ifndef TRUEPULL_EDITION_SCATTER_TREND_H_
#define TRUEPULL_EDITION_SCATTER_TREND_H_

#include "edition/sheet_fit.h"
#include "truepull/plan.h"

namespace truepull {

enum class TrendAlong { kNone, kAcross, kDown, kOrder };

/// Distances of the tiles from where the sheet has them, each over the share that the fit
/// leaves it, sqrt(1 - leverage), against place and order: the largest of the correlations'
/// t tests, its chance corrected for having looked three ways (Levene's idea with a trend in
/// place of groups: H. Levene, "Robust tests for equality of variances", in Contributions to
/// Probability and Statistics, Stanford 1960). The order is the one that the plan gives
/// (pull_order.h, right hand); nobody notes the true one.
struct ScatterTrend {
  TrendAlong along = TrendAlong::kNone;   // kNone: fewer than 8 sites.
  double p = 1;
  // Spread per axis that the trend gives at its two ends: left, top, first; right, bottom, last.
  double begins_mm = 0, ends_mm = 0;
};
ScatterTrend FindScatterTrend(const Plan& plan, const DriftReport& drift, const SheetFit& fit);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_SCATTER_TREND_H_
