// SPDX-License-Identifier: Apache-2.0
// What the camera's covariance means at a place on the sheet.
#include <Eigen/Dense>

#include "photo/camera_derivative.h"
#include "truepull/photo.h"

namespace truepull {

std::array<double, 4> PlaceCovariance(const SheetFrame& frame, Point p) {
  const SheetCamera& camera = frame.camera;
  const Eigen::Matrix<double, 2, 9> photo = PhotoByCamera(camera, p);
  const MapDerivative d = camera.Derivative(p);
  Eigen::Matrix2d photo_from_sheet;
  photo_from_sheet << d[0], d[1], d[2], d[3];
  // At a fixed photo point the place moves against the camera.
  const Eigen::Matrix<double, 2, 9> sheet = -photo_from_sheet.inverse() * photo;
  const Eigen::Map<const Eigen::Matrix<double, 9, 9, Eigen::RowMajor>> c(frame.covariance.data());
  // What waves do inside the sheet, its sides do not tell: they only show how much.
  const Eigen::Matrix2d out =
      sheet * c * sheet.transpose() + frame.sd_wave_mm * frame.sd_wave_mm * Eigen::Matrix2d::Identity();
  return {out(0, 0), out(0, 1), out(1, 0), out(1, 1)};
}

}  // namespace truepull
