// SPDX-License-Identifier: Apache-2.0
// The middle of some numbers.
#ifndef TRUEPULL_SRC_GEOMETRY_MEDIAN_H_
#define TRUEPULL_SRC_GEOMETRY_MEDIAN_H_

#include <vector>

namespace truepull {

/// The upper median; 0 of none.
double Median(std::vector<double> values);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GEOMETRY_MEDIAN_H_
