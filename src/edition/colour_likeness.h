// SPDX-License-Identifier: Apache-2.0
// How far the colours of two sheets are apart, as the eye sees them.
#ifndef TRUEPULL_EDITION_COLOUR_LIKENESS_H_
#define TRUEPULL_EDITION_COLOUR_LIKENESS_H_

#include "truepull/tile_reading.h"

namespace truepull {

/// Colours of the bodies, sheet against proof: for each of the plan's colours the mean over
/// its sites in linear light, then CIEDE2000 between the two means; averaged over the colours
/// by their number of sites. Colours are shares of the paper's white, so that lamp and paper
/// drop out of both.
struct ColourApart {
  bool known = false;          // Both sheets hold colours at the same planned ones.
  double difference = 0;       // CIEDE2000.
  /// Standard uncertainty: the scatter of the pulls about their mean over the root of their
  /// number, and 1 for what two photos of one print differ by (assumed, not measured).
  double sd = 0;
  double lightness = 0;        // L* of the sheet minus that of the proof.
};
ColourApart CompareColours(const Reading& sheet, const Reading& proof);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_COLOUR_LIKENESS_H_
