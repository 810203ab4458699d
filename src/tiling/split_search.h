// SPDX-License-Identifier: Apache-2.0
// Coarse search for the splits of an outline that nearly repeats.
#ifndef TRUEPULL_SRC_TILING_SPLIT_SEARCH_H_
#define TRUEPULL_SRC_TILING_SPLIT_SEARCH_H_

#include <array>
#include <span>
#include <vector>

#include "truepull/geometry.h"

namespace truepull::tiling {

/// Six splits as shares of the length, in order from splits[0], which may be over 1 past
/// point 0. By shifts the stretches are A B C A' B' C', with half turns A B C A' D E.
struct Splits {
  bool half_turns = false;
  std::array<double, 6> at{};
  double cost = 0;  // Sum of squared misfits of the coarse points, mm^2.
};

/// The best ways by shifts, at most `most`, best first; alike ones are given once. No
/// stretch's mean squared misfit counts for more than `most_squared_mm2`: with a small
/// bound one wholly wrong edge does not hide a way in which all others fit.
std::vector<Splits> SearchShiftSplits(std::span<const Point> outline, std::size_t most,
                                      double most_squared_mm2);
/// The same with half turns.
std::vector<Splits> SearchHalfTurnSplits(std::span<const Point> outline, std::size_t most,
                                         double most_squared_mm2);

}  // namespace truepull::tiling

#endif  // TRUEPULL_SRC_TILING_SPLIT_SEARCH_H_
