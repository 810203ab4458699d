// SPDX-License-Identifier: Apache-2.0
// What the photo itself costs: blur, glare, too few pixels, in millimetres and plain words.
#ifndef TRUEPULL_SRC_DETECT_PHOTO_DOUBTS_H_
#define TRUEPULL_SRC_DETECT_PHOTO_DOUBTS_H_

#include <span>
#include <string>
#include <vector>

#include "detect/edge_fit.h"
#include "truepull/camera.h"
#include "truepull/photo.h"
#include "truepull/tile_reading.h"

namespace truepull::detect {

/// Variance, mm^2 on each axis, that coarse or blurred pictures add to every place beyond what
/// the edge's own scatter shows: pixels of 1 / r mm blend ink, tooth and paper in ways that no
/// model of one step knows. sd = 0.25 / r^2 and 0.09 per mm of blur beyond 0.15 mm, from rendered
/// sheets of 1.2 to 6.7 pixels to the mm (PhotoFaults.* in tests/detect); 8 pixels: 0.004 mm.
double CoarsenessVariance(double pixels_per_mm, double blur_mm);

/// Share of each pull's outline (0 to 1, absent pulls 0) that is burnt out to white, so that
/// neither its ink nor its edge can be seen there.
std::vector<double> BurntOutShares(const Photo& photo, const SheetCamera& camera, std::span<const Pull> pulls);

struct PhotoWords {
  std::vector<std::string> findings, notes;
};

/// What is said of the photo; `reading` holds the sites with their final uncertainty, blur and
/// camera, `burnt_out` is BurntOutShares of its sites, `burnt_sheet` that of the whole sheet.
PhotoWords SayPhotoFaults(const SheetReading& reading, const Sheet& sheet, std::span<const double> burnt_out, double burnt_sheet);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PHOTO_DOUBTS_H_
