// SPDX-License-Identifier: Apache-2.0
// Finds every pull on the sheet and measures its pose in the photo itself.
#ifndef TRUEPULL_DETECT_H_
#define TRUEPULL_DETECT_H_

#include "truepull/photo.h"
#include "truepull/plan.h"
#include "truepull/result.h"
#include "truepull/tile_reading.h"

namespace truepull {

struct DetectOptions {
  double search_share = 0.45;    // Of the lattice step: how far a pull is looked for.
  double search_turn_rad = RadFromDeg(17);  // Either way.
  bool way_up_known = false;     // The frame's top is the sheet's: the print is not asked.
  int threads = 0;               // 0: as many as the machine has.
};

/// Measures every site of a plan in a photo whose sheet was found.
///
/// Fails with kPhotoUnusable when the sheet is too dark or too small to measure. An
/// empty sheet is no failure: every site is missing.
Result<SheetReading> MeasureSheet(const Photo& photo,
                                  const SheetFrame& frame,
                                  const Plan& plan,
                                  const DetectOptions& options = {});

}  // namespace truepull

#endif  // TRUEPULL_DETECT_H_
