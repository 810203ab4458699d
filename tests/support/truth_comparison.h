// SPDX-License-Identifier: Apache-2.0
// A reading beside the truth: what was found, lost and invented, and how far off it lies.
#ifndef TRUEPULL_TESTS_SUPPORT_TRUTH_COMPARISON_H_
#define TRUEPULL_TESTS_SUPPORT_TRUTH_COMPARISON_H_

#include <vector>

#include "truepull/render.h"
#include "truepull/tile_reading.h"

namespace truepull::testing {

// Beyond either, a pull was taken for something else: its own edge is never missed by so much.
inline constexpr double kGrossMm = 2;
inline constexpr double kGrossDeg = 3;

/// One pull that is there and was found: found minus true.
struct SiteError {
  Site site;
  double dx_mm = 0, dy_mm = 0, dturn_deg = 0;
  double sd_x_mm = 0, sd_y_mm = 0, sd_turn_deg = 0;  // As claimed.
  bool gross() const;
};

/// Counts and errors of one sheet, or of many added up.
struct Comparison {
  int sheets = 0;
  int refused = 0;                // Photos that could not be read at all.
  int present = 0, absent = 0;    // Sites by the truth.
  int false_finds = 0;            // Absent, yet found.
  int lost = 0;                   // Present, yet missing.
  int state_right = 0;            // Printed or weak, as the truth has it.
  int colour_named = 0, colour_right = 0;  // Of the pulls whose plan names colours.
  std::vector<SiteError> errors;
  std::vector<Site> invented, missed;      // Of one sheet after another: the false finds, the lost.
  std::vector<double> coverage_errors;     // Found minus true.
  void Add(const Comparison& other);
};

/// `truth` and `reading` hold every site of `plan`, in order. A true colour that the plan
/// does not tell by site is told by its hex.
Comparison Compare(const Plan& plan, const std::vector<TruthRow>& truth, const SheetReading& reading);

/// A photo that could not be read: all its pulls are lost.
Comparison Refused(const std::vector<TruthRow>& truth);

/// What a table shows. Gross errors are in all of it: nothing is left out as an outlier.
struct Figures {
  double recall = 0;          // Pulls found and not gross, of those present.
  int gross = 0;
  double rms_mm = 0;          // Per axis.
  double median_mm = 0, p95_mm = 0, worst_mm = 0;   // Of the distance.
  double turn_rms_deg = 0;
  double within_1_sd = 0, within_2_sd = 0;   // Share, of x, y and turn together ...
  double z_squared = 0;                      // ... and the mean of (error / sd)^2.
  double median_z_squared = 0;               // Its median, untouched by a few; normal: 0.455.
  double median_coverage_error = 0;          // Of its size.
};
Figures Summarise(const Comparison& comparison);

/// The value below which a share of the values lies (interpolated); 0 of none.
double Quantile(std::vector<double> values, double share);

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_TRUTH_COMPARISON_H_
