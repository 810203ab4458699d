// SPDX-License-Identifier: Apache-2.0
// How sharp a photo is, told by the sheet's own edges.
#ifndef TRUEPULL_SRC_PHOTO_SIDE_BLUR_H_
#define TRUEPULL_SRC_PHOTO_SIDE_BLUR_H_

#include "truepull/photo.h"

namespace truepull {

/// Standard deviation of the blur of a sharp edge, mm on the sheet: the way from a fifth to
/// four fifths of the step between table and paper, over 1.683, in the middle of many places
/// round the sheet. 0 where too few places show a clear step. A pixel's own size is in it.
double SideBlurMm(const Photo& photo, const SheetCamera& camera, const Sheet& sheet);

}  // namespace truepull

#endif  // TRUEPULL_SRC_PHOTO_SIDE_BLUR_H_
