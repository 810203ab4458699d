// SPDX-License-Identifier: Apache-2.0
// The colours inside the pulls on a reading's page: layer, maps, table.
#ifndef TRUEPULL_PAGES_REGION_PARTS_H_
#define TRUEPULL_PAGES_REGION_PARTS_H_

#include <string>

#include "truepull/tile_reading.h"

namespace truepull {

/// Lines round every colour, to lie over the picture; `margin_mm` of table is shown there
/// round the sheet. Holds the shapes that RegionMapSvg uses again. Empty without regions.
std::string RegionLayerSvg(const Reading& reading, double margin_mm);

/// Every colour as one flat tone: as measured, over the sheet's own white.
std::string RegionMapSvg(const Reading& reading);

/// How well each place took colour, in tones of grey, with the share in words.
std::string CoverMapSvg(const Reading& reading);

/// One row for each colour of each pull.
std::string RegionTable(const Reading& reading);

}  // namespace truepull

#endif  // TRUEPULL_PAGES_REGION_PARTS_H_
