// SPDX-License-Identifier: Apache-2.0
// How a sheet prints and how its photo is: density, coverage, blur, tilt, uncertainty.
#ifndef TRUEPULL_EDITION_SHEET_LOOKS_H_
#define TRUEPULL_EDITION_SHEET_LOOKS_H_

#include <vector>

#include "truepull/edition.h"

namespace truepull {

struct SheetLooks {
  double density = 0;          // Mean -ln of the bodies' light; 0: no colours measured.
  double coverage = 0;         // Mean over printed and weak sites.
  double weak_share = 0;
  double unsure_mm = 0;        // Median standard uncertainty of a place.
  double tilt = 1;             // Largest over least scale at the sheet's corners.
  double blur_mm = 0;
  double burnt_out = 0;
};
SheetLooks LooksOf(const EditionSheet& sheet);

/// Optical density of a colour "#rrggbb": -ln of its linear light (IEC 61966-2-1; Y of the
/// primaries of BT.709). 0 for anything else.
double DensityOfColour(const std::string& hex);

/// Photo faults, by the sheet alone and beside the others' usual blur.
PhotoFault JudgePhoto(const SheetLooks& looks, double usual_blur_mm, const ReviewThresholds& thresholds);

double MedianOfValues(std::vector<double> values);  // 0 when there are none.

}  // namespace truepull

#endif  // TRUEPULL_EDITION_SHEET_LOOKS_H_
