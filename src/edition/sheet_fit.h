// SPDX-License-Identifier: Apache-2.0
// The plain linear fit behind the tests: a sheet's drift as an affine map, its residuals.
//
// found - ideal = s + T (ideal - c): s and T free, so that shift, turn, stretch and shear of
// the sheet are exactly covered. Both axes share the regressors, so that with normal errors
// Hotelling's test on s is exact. Reported values come from the robust fit (drift.h); sites
// that it throws out are left out here too.
#ifndef TRUEPULL_EDITION_SHEET_FIT_H_
#define TRUEPULL_EDITION_SHEET_FIT_H_

#include <array>
#include <vector>

#include "truepull/drift.h"
#include "truepull/shift_test.h"

namespace truepull {

struct SheetFit {
  std::vector<std::size_t> sites;     // Indices into DriftReport::sites that take part.
  std::vector<Point> offset;          // Of their ideal places from the middle.
  std::vector<Point> drift, residual; // mm.
  std::vector<double> leverage;       // Of each site, per axis.
  std::vector<std::array<double, 3>> regressors;  // 1, x, y; zero where unused.
  int unknowns = 0;                   // Per axis: 1, 2 or 3.
  double freedom = 0;                 // Per axis.
  Point shift;                        // At the middle.
  std::array<double, 4> map{};        // T, row-major.
  std::array<double, 4> cross{};      // 2 x 2 covariance of residuals, row-major, mm^2.
  std::array<double, 9> inverse{};    // (A'A)^-1 in the order 1, x, y (zero where unused).
  ShiftTest shift_test;
  bool has_x = false, has_y = false;  // The sites tell the change along x, y.
  double Variance() const { return (cross[0] + cross[3]) / 2; }  // Per axis.
};

/// What is left of values at the sites when the sheet's part is fitted to them.
std::vector<double> LeftOver(const SheetFit& fit, const std::vector<double>& values);

/// `left_out` (may be empty) marks sites that do not take part.
SheetFit FitSheet(const DriftReport& drift, Point centre, const std::vector<char>& left_out = {});

}  // namespace truepull

#endif  // TRUEPULL_EDITION_SHEET_FIT_H_
