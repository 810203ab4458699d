// SPDX-License-Identifier: Apache-2.0
#include "geometry/median.h"

#include <algorithm>

namespace truepull {

double Median(std::vector<double> values) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace truepull
