// SPDX-License-Identifier: Apache-2.0
// The mean of several tracings of one tile.
#ifndef TRUEPULL_OUTLINE_MEAN_H_
#define TRUEPULL_OUTLINE_MEAN_H_

#include <span>
#include <vector>

#include "truepull/geometry.h"

namespace truepull {

struct OutlineMean {
  Outline outline;                 // Where the first one lies.
  std::vector<double> rms_mm;      // How far each one's edge is off the first's, once laid on it.
};

/// Lays outlines onto the first and averages their edges.
///
/// Each is brought there by the shift and turn (any turn: 72 are tried, the best is refined by
/// least squares) for which its edge is nearest; then every point of the first moves across the
/// edge to the mean of all. Each root mean square distance is given, so that a tracing of
/// another tile can be told. One outline is its own mean.
OutlineMean MeanOutline(std::span<const Outline> outlines);

}  // namespace truepull

#endif  // TRUEPULL_OUTLINE_MEAN_H_
