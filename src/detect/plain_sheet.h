// SPDX-License-Identifier: Apache-2.0
// What lies on a plain sheet, coarsely, and the sheet's own light under it.
#ifndef TRUEPULL_SRC_DETECT_PLAIN_SHEET_H_
#define TRUEPULL_SRC_DETECT_PLAIN_SHEET_H_

#include <opencv2/core/mat.hpp>
#include <vector>

#include "truepull/camera.h"
#include "truepull/photo.h"
#include "truepull/plan.h"
#include "truepull/trace.h"

namespace truepull::detect {

/// Something that lies on the sheet: a mask of the flat picture, holes filled.
struct Thing {
  cv::Rect box;
  cv::Mat mask;        // CV_8UC1 of `box`: 255 inside.
  double area_mm2 = 0;
  bool at_the_rim = false;
};

struct PlainSheet {
  double px_per_mm = 2;
  cv::Mat paper;       // CV_32FC3, linear light of the sheet, also where it is hidden, at half the
                       // scale: its place x is pixel 2 x.
  std::vector<Thing> things;
};

/// Follows the sheet's light inward from its sides for as long as it changes softly.
PlainSheet LookAtPlainSheet(const Photo& photo, const SheetCamera& camera, const Sheet& sheet,
                            const TileTraceOptions& options);

/// The part of the sheet in `box` (mm) laid flat, as RectifySheet does.
cv::Mat FlattenPart(const Photo& photo, const SheetCamera& camera, const Box& box, double px_per_mm);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PLAIN_SHEET_H_
