// SPDX-License-Identifier: Apache-2.0
// Rows and columns that were printed off as one, by half a step or a whole one.
#ifndef TRUEPULL_SRC_DETECT_ODD_LINES_H_
#define TRUEPULL_SRC_DETECT_ODD_LINES_H_

#include <string>
#include <vector>

#include "detect/coarse_search.h"
#include "detect/edge_fit.h"
#include "truepull/lattice.h"

namespace truepull::detect {

struct OddLine {
  bool column = false;
  int index = 0;               // Row, or lattice column.
  Point shift;                 // mm, beyond the move that the sheet shares.
  double steps = 0;
  std::vector<std::size_t> sites;
  /// The shift as it was measured in the end: the median over the line's pulls.
  void MeasureFrom(const std::vector<Pull>& pulls, const std::vector<Pose>& ideal, const CommonMove& common);
  std::string Words() const;   // "row D lies half a step (26 mm) too far right".
};

/// Looks along every row and column whose pulls do not lie where they are expected, or
/// whose end is empty while a pull stands beyond its other end, for the one shift along
/// it that its pulls like best. The k-th pull of a line that moved as one keeps site k.
std::vector<OddLine> FindOddLines(const OutlineScore& score, const Lattice& lattice, const std::vector<Site>& sites,
                                  const std::vector<const PlateShape*>& shapes, const std::vector<Pose>& expected,
                                  double heart_density, double heart_share);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_ODD_LINES_H_
