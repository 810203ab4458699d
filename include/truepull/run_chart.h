// SPDX-License-Identifier: Apache-2.0
// Control charts over a run of sheets: constants, limits, run rules, and the jump.
#ifndef TRUEPULL_RUN_CHART_H_
#define TRUEPULL_RUN_CHART_H_

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// Factors for samples of n normal values, worked out from their definitions: d2 and d3 are
/// mean and standard deviation of the range, c4 the mean of the sample's standard deviation,
/// all in standard deviations; the rest follow from them (limits at three of them).
/// Agree with the published tables (ASTM MNL 7) to the last printed digit.
struct ChartConstants {
  int n = 2;
  double d2 = 0, d3 = 0, c4 = 0;
  double a = 0, a2 = 0, a3 = 0;              // Limits of a mean from sigma, range, s.
  double d_upper_1 = 0, d_lower_1 = 0;       // D2, D1: of a range from sigma.
  double d_lower = 0, d_upper = 0;           // D3, D4: of a range from the mean range.
  double b_lower = 0, b_upper = 0;           // B3, B4: of s from the mean s.
  double b_lower_sigma = 0, b_upper_sigma = 0;  // B5, B6: of s from sigma.
  double e2 = 0;                             // Of a single value from the mean range.
};
/// n from 2 to 50; others are brought into that range.
ChartConstants ChartConstantsFor(int n);

/// A line of values with its centre and limits.
struct RunChart {
  std::vector<double> values;
  double centre = 0, sigma = 0;
  double lower = 0, upper = 0;
};

/// Single values: sigma is the mean moving range over d2(2) = 2 / sqrt(pi). Limits are set by
/// the first `base` values (all when 0). Needs two values; with fewer sigma is 0.
RunChart IndividualsChart(std::span<const double> values, std::size_t base = 0);
/// The moving ranges that belong to it: values[i] is |x_i+1 - x_i|, limits 0 and D4 mean.
RunChart MovingRangeChart(std::span<const double> values, std::size_t base = 0);

/// Means and ranges of samples of equal size (2 to 50); `base` samples set the limits.
struct MeanRangeCharts {
  RunChart means, ranges;
};
MeanRangeCharts MeanAndRange(const std::vector<std::vector<double>>& samples, std::size_t base = 0);
/// The same with standard deviations in place of ranges.
MeanRangeCharts MeanAndSd(const std::vector<std::vector<double>>& samples, std::size_t base = 0);

/// L. S. Nelson's rules, "The Shewhart control chart - tests for special causes", Journal of
/// Quality Technology 16, 1984, with the counts that are used here.
enum class RunRule {
  kBeyond = 1,        // One value beyond three sigma.
  kOneSide = 2,       // Nine in a row on one side of the centre.
  kTrend = 3,         // Six in a row, each higher (or lower) than the one before.
  kAlternating = 4,   // Fourteen in a row, up and down by turns.
  kTwoOfThree = 5,    // Two of three beyond two sigma on one side.
  kFourOfFive = 6,    // Four of five beyond one sigma on one side.
  kTooCalm = 7,       // Fifteen in a row within one sigma.
  kNoneNear = 8,      // Eight in a row beyond one sigma, either side.
};
/// "9 in a row on one side of the middle".
std::string NameOf(RunRule rule);

struct RunSignal {
  RunRule rule = RunRule::kBeyond;
  std::size_t at = 0;  // Index of the value that completes it.
};
/// Signals of the rules asked for, by index, then rule; each run is named once, where it is
/// first complete.
std::vector<RunSignal> RunSignals(const RunChart& chart, std::span<const RunRule> rules);

/// A step in the mean of a series of places.
struct StepChange {
  std::size_t after = 0;     // The last value before the step.
  std::size_t first = 0, last = 0;  // Other values of `after` that are nearly as likely.
  Point before, behind;      // Means on the two sides.
  double p = 1;              // Chance of so large a step in a series without one.
};
struct StepOptions {
  std::size_t least_side = 2;  // Values that must stand on each side.
  int shuffles = 1999;
  std::uint64_t seed = 1;
  double level = 0.01;
};
/// The likeliest step: the split with the largest two-sample Hotelling T-squared. Its chance
/// is found by shuffling the series, which is exact whatever the distribution, as long as
/// the order would not matter without a step. Absent with fewer than 6 values: too few.
std::optional<StepChange> LikeliestStep(std::span<const Point> series, const StepOptions& options = {});
/// Every step whose chance is under the level, in order: the likeliest first, then the parts
/// on its two sides are searched in the same way.
std::vector<StepChange> Steps(std::span<const Point> series, const StepOptions& options = {});

}  // namespace truepull

#endif  // TRUEPULL_RUN_CHART_H_
