// SPDX-License-Identifier: Apache-2.0
// The plate as it really is: the found edge minus the plan's outline, over all pulls.
#ifndef TRUEPULL_SRC_DETECT_PLATE_EDGE_H_
#define TRUEPULL_SRC_DETECT_PLATE_EDGE_H_

#include <string>
#include <vector>

#include "detect/edge_fit.h"

namespace truepull::detect {

/// The edge of all pulls of one plate laid on one another. Entries go with shape.edge.
struct PooledEdge {
  const PlateShape* shape = nullptr;
  std::vector<double> mm;        // Outwards of the outline; growth included.
  std::vector<double> sd;        // Of the mean, from the scatter among pulls; 1e3: unseen.
  int pulls = 0;
  double seen = 0;               // Share of the outline where enough pulls show an edge.
};
PooledEdge PoolEdges(const EdgeFit& fit, const std::vector<Pull>& pulls, const PlateShape* shape,
                     const EdgeFitOptions& options);

/// The size of the plate over the plan's, by least squares on the pooled edge beside a
/// common shift, turn and growth (prior: 0.05 +- 0.07 mm of dot gain, which is what tells a
/// larger plate from a fatter edge where the outline is round).
struct PlateSize {
  double ratio = 1;
  double sd = 1;
};
PlateSize FitPlateSize(const PooledEdge& edge);

/// A stretch of the outline where the plate departs from the plan.
struct Departure {
  Point outward;                 // Mean outward direction, tile frame.
  double mm = 0;                 // Mean; below 0 the plate is short.
  double sd = 0;
  double length_mm = 0;
  std::string Side() const;      // "right", "left", "top" or "bottom", as printed.
  std::string Words() const;     // "right side is 0.80 mm short (+- 0.03 mm, over 44 mm of edge)".
};

struct PlateOutline {
  std::vector<Departure> departures;
  Outline outline;               // The plan's, moved where the plate departs from it.
  double off_share = 0;          // Of the outline: off by over 0.7 mm, or no edge seen.
  double rms_mm = 0;             // Of the departure all along, beyond shift, turn, growth.
};

/// Shift, turn and growth are taken out so that as much of the outline as possible stays
/// as planned (least absolute deviations): a side that is short is not halved with the
/// opposite one. Where a shape cannot tell (a straight side of a rectangle against the
/// one across), the smaller move of all pulls is preferred. known: sides found
/// before; smaller departures of theirs count too.
PlateOutline FitPlateOutline(const PooledEdge& edge, const std::vector<Departure>& known = {});

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PLATE_EDGE_H_
