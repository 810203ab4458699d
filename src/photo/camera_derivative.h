// SPDX-License-Identifier: Apache-2.0
// How a place in the photo answers to the camera's own numbers.
#ifndef TRUEPULL_SRC_PHOTO_CAMERA_DERIVATIVE_H_
#define TRUEPULL_SRC_PHOTO_CAMERA_DERIVATIVE_H_

#include <Eigen/Dense>

#include "truepull/camera.h"

namespace truepull {

/// d photo_px / d (h0..h7, k1) of a place on the sheet (mm): the homography's derivative
/// carried through the lens, k2 held.
Eigen::Matrix<double, 2, 9> PhotoByCamera(const SheetCamera& camera, Point sheet_mm);

}  // namespace truepull

#endif  // TRUEPULL_SRC_PHOTO_CAMERA_DERIVATIVE_H_
