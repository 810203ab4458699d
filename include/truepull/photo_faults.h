// SPDX-License-Identifier: Apache-2.0
// What is wrong with a photo rather than with the print: light that burnt places out.
#ifndef TRUEPULL_PHOTO_FAULTS_H_
#define TRUEPULL_PHOTO_FAULTS_H_

#include <opencv2/core/mat.hpp>

#include "truepull/camera.h"
#include "truepull/plan.h"

namespace truepull {

/// Share of the sheet's area (0..1) where the photo is burnt out: all three channels at 250
/// of 255 or more in the mean over 3 x 3 pixels, where neither ink nor paper can be told.
///
/// Sampled every 1.5 mm over the sheet, photo pixels. A wet or glossy sheet shows a lamp or a
/// window so; a photo exposed too long is burnt out as a whole. Accuracy: a patch of a cm^2 or
/// more to a tenth of its area (Glare.IsTheShareOfTheSheetThatIsBurntOut).
double BurntOutShare(const cv::Mat& bgr, const SheetCamera& camera, const Sheet& sheet);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_FAULTS_H_
