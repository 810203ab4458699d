// SPDX-License-Identifier: Apache-2.0
// Lines of many sites in squares, so that those near a place are found at once.
#ifndef TRUEPULL_SRC_GUIDE_LINE_GRID_H_
#define TRUEPULL_SRC_GUIDE_LINE_GRID_H_

#include <cstdint>
#include <unordered_map>
#include <vector>

#include "guide/clearance.h"

namespace truepull {

class LineGrid {
 public:
  void Add(const Segment& line, int owner);
  /// Least distance to lines of other owners, mm; most_mm where none is nearer.
  double Distance(const Segment& line, int owner, double most_mm) const;

 private:
  struct Kept {
    Segment line;
    int owner;
  };
  std::vector<Kept> lines_;
  std::unordered_map<std::int64_t, std::vector<std::size_t>> squares_;
};

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_LINE_GRID_H_
