// SPDX-License-Identifier: Apache-2.0
// What makes two pages one: match crosses and check lengths across the join.
#ifndef TRUEPULL_SRC_GUIDE_JOINS_H_
#define TRUEPULL_SRC_GUIDE_JOINS_H_

#include <vector>

#include "truepull/guide.h"

namespace truepull {

inline constexpr double kJoinLengthMm = 60;

/// The pages of a sheet: rows x columns windows, row by row.
struct PageGrid {
  int rows = 1, columns = 1;
  std::vector<Box> windows;
};

/// For every window the marks of its joins, in the guide's frame.
std::vector<std::vector<Mark>> JoinMarks(const Guide& guide, const PageGrid& grid);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_JOINS_H_
