// SPDX-License-Identifier: Apache-2.0
// Statistical tolerance factors: how many spreads hold nearly all of what is yet to come.
#ifndef TRUEPULL_TOLERANCE_FACTOR_H_
#define TRUEPULL_TOLERANCE_FACTOR_H_

namespace truepull {

/// Factor k of a one-sided statistical tolerance interval for normal values, mean and spread
/// unknown (ISO 16269-6): with `confidence`, at least `content` of all values lie below
/// mean + k s, s the standard deviation of n values.
///
/// k = t / sqrt(n), t the `confidence` quantile of the noncentral t distribution with n - 1
/// degrees of freedom and noncentrality z_content sqrt(n). n >= 2; as n grows k tends to z.
/// Accuracy: agrees with published values to their last digit
/// (ToleranceFactors.AgreeWithTheTables).
double ToleranceFactorOneSided(int n, double content, double confidence);

/// The same for mean +- k s: exact, by integration over the mean.
double ToleranceFactorTwoSided(int n, double content, double confidence);

}  // namespace truepull

#endif  // TRUEPULL_TOLERANCE_FACTOR_H_
