// SPDX-License-Identifier: Apache-2.0
// The camera that took the imagined photo: where it stood, and the way back from pixels.
#ifndef TRUEPULL_RENDER_TRUE_CAMERA_H_
#define TRUEPULL_RENDER_TRUE_CAMERA_H_

#include <array>

#include "truepull/camera.h"
#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::render {

struct TrueCamera {
  SheetCamera model;
  Point foot;            // The sheet's point straight below the lens, mm ...
  double height_mm = 0;  // ... and the lens's height above it.
};

/// Stands the camera so that the sheet takes up the wanted share of the picture.
TrueCamera StandCamera(const Sheet& sheet, const RenderOptions& options);

/// SheetCamera::SheetFromPhoto with the inverse kept; called millions of times.
class PhotoToSheet {
 public:
  explicit PhotoToSheet(const SheetCamera& camera);
  Point operator()(double x_px, double y_px) const;

 private:
  std::array<double, 9> inverse_;
  Point centre_;
  double focal_, k1_, k2_;
};

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_TRUE_CAMERA_H_
