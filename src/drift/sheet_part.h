// SPDX-License-Identifier: Apache-2.0
// The robust fit behind MeasureDrift: what of the drift is the sheet's own.
#ifndef TRUEPULL_DRIFT_SHEET_PART_H_
#define TRUEPULL_DRIFT_SHEET_PART_H_

#include <array>
#include <span>

#include "truepull/drift.h"

namespace truepull {

/// One found place, with the 2 x 2 covariance of its measuring (mm^2, row-major).
struct FoundPlace {
  Point ideal;
  Point found;
  std::array<double, 4> covariance{};
};

struct SheetPartFit {
  SheetPart part;
  double hand_sd_mm = 0;    // Per axis, measuring taken out.
  bool has_hand_sd = false;
};

/// Fits the sheet's part to one or more places; `centre` is the c of the model, mm.
SheetPartFit FitSheetPart(std::span<const FoundPlace> places, Point centre);

/// Mean and spread of scattered values, robustly (Tukey's biweight), each with its own
/// variance of measuring, which is taken out of the spread.
struct RobustSpread {
  double mean = 0;
  double sd = 0;
};
RobustSpread SpreadOf(std::span<const double> values, std::span<const double> variances);

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_SHEET_PART_H_
