// SPDX-License-Identifier: Apache-2.0
// Plain pictures of a sheet on a table through a known camera, for the frame's own tests.
// They are drawn in linear light with sixteen samples to the pixel along edges, blurred,
// roughened and coded as sRGB; independent of the renderer behind `simulate`.
#ifndef TRUEPULL_TESTS_PHOTO_DRAWN_SHEET_H_
#define TRUEPULL_TESTS_PHOTO_DRAWN_SHEET_H_

#include <array>
#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <vector>

#include "truepull/camera.h"
#include "truepull/photo.h"
#include "truepull/plan.h"

namespace truepull::testing {

enum class Table { kDark, kWood, kLightWood, kCheck, kStone, kNearWhite };

struct View {
  double roll_deg = 0, tilt_x_deg = 0, tilt_y_deg = 0;
  double k1 = 0;
  double fill = 0.86;      // Of the picture's tighter direction.
  Point shift{};           // Of the sheet's middle, px.
};

struct Clutter {
  Outline outline_px;
  std::array<double, 3> light{};  // Linear b, g, r.
};

struct Drawing {
  int width = 1600, height = 1200;
  Sheet sheet;
  SheetCamera camera;
  Table table = Table::kDark;
  std::array<double, 3> paper{0.70, 0.76, 0.80};  // Linear b, g, r.
  bool printed = true;          // A block of dark and mid tiles, 14 mm from the edges.
  double print_margin_mm = 14;
  double blur_px = 0.8;
  double noise = 0;             // Sd, linear light at full light; less in the dark.
  double shadow = 0;            // 0 to 1: the sheet's own shadow on the table.
  double falloff = 0;           // Share of the light lost in the corners.
  double cast_shadow = 0;       // 0 to 1: a soft band across sheet and table.
  double dog_ear_mm = 0;        // Turned-down bottom right corner.
  double cockle_px = 0;         // Waves of the sides, amplitude.
  std::vector<Clutter> clutter;
  std::uint32_t seed = 1;
};

/// The camera of a view; the principal point is the picture's middle, the focal length
/// 0.74 x the longer side.
SheetCamera CameraOf(const View& view, const Sheet& sheet, int width, int height);

/// Draws the picture.
Photo Draw(const Drawing& drawing);

/// Root mean square and greatest distance (mm) between where two cameras put a photo
/// point, over a lattice of 9 x 9 places on the sheet. `truth` says which photo points.
struct FrameError {
  double rms_mm = 0, worst_mm = 0;
};
FrameError Compare(const SheetCamera& found, const SheetCamera& truth, const Sheet& sheet);

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_PHOTO_DRAWN_SHEET_H_
