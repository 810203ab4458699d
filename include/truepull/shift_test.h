// SPDX-License-Identifier: Apache-2.0
// Tests and limits for errors in the plane and on a line, by published formulas.
#ifndef TRUEPULL_SHIFT_TEST_H_
#define TRUEPULL_SHIFT_TEST_H_

#include <array>
#include <span>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

/// Hotelling's T-squared: whether the mean of p-dimensional values is the one expected.
/// With m values' worth of freedom in the covariance, T2 (m - p + 1) / (m p) follows the F
/// distribution with p and m - p + 1 degrees of freedom (H. Hotelling, "The generalization
/// of Student's ratio", Annals of Mathematical Statistics 2, 1931).
struct ShiftTest {
  double t2 = 0, f = 0;
  double p = 1;              // Chance of so large a T2 when nothing is shifted.
  double freedom = 0;        // m - p + 1; under 1 nothing can be told and p stays 1.
};
ShiftTest HotellingTest(double t2, int dimensions, double covariance_freedom);
/// Rows of values of equal length against their expected mean.
ShiftTest HotellingOneSample(const std::vector<std::vector<double>>& rows, std::span<const double> expected);
/// T2 that is passed by chance with probability 1 - confidence, n values, p dimensions.
double HotellingLimit(int n, int dimensions, double confidence);

/// Chance of a larger F than this.
double ChanceOfF(double f, double freedom_1, double freedom_2);
/// Chance of a t further from zero than this, either way.
double ChanceOfT(double t, double freedom);
/// Quantiles.
double ChiSquareQuantile(double probability, double freedom);
double NormalQuantile(double probability);
/// The p of one among `count` independent tests, corrected for having looked at all
/// (Sidak 1967): 1 - (1 - p)^count.
double AmongMany(double p, double count);

/// Half-axes and turn of the ellipse that holds this share of a bivariate normal scatter.
struct ErrorEllipse {
  double major = 0, minor = 0, turn_rad = 0;  // Turn of the major axis from x.
};
ErrorEllipse EllipseFor(const std::array<double, 4>& covariance, double probability);

}  // namespace truepull

#endif  // TRUEPULL_SHIFT_TEST_H_
