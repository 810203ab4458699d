// SPDX-License-Identifier: Apache-2.0
// From photo pixels to sheet millimetres: finding the sheet and its camera.
#ifndef TRUEPULL_PHOTO_H_
#define TRUEPULL_PHOTO_H_

#include <array>
#include <opencv2/core/mat.hpp>
#include <string>
#include <vector>

#include "truepull/camera.h"
#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

/// A decoded photo, upright (EXIF orientation applied).
struct Photo {
  cv::Mat bgr;              // CV_8UC3, sRGB.
  std::string name;         // File name for messages, without folders.
  bool orientation_known = false;  // The file said which way is up.
  double focal_px = 0;      // From EXIF where there; 0 = not known.
};

/// A sheet found in a photo.
struct SheetFrame {
  SheetCamera camera;                   // photo_from_sheet.
  std::array<Point, 4> corners_px;      // Top-left, top-right, bottom-right, bottom-left.
  /// Covariance of the camera's 9 numbers h0..h7, k1, row-major 9 x 9: scaled by the
  /// residuals' own correlation along the sides.
  std::array<double, 81> covariance{};
  double rms_side_px = 0;               // Residual of the four sides.
  double sd_wave_mm = 0;                // Cockled paper: how far its waves move a place, each way, as its sides show.
  std::vector<std::string> findings;    // "one corner is dog-eared", ...
  std::vector<std::string> notes;
};

/// How the finding begins that a sheet's top was guessed from its sides' ratio.
inline constexpr const char* kGuessedTop = "the sheet lies on its side in the photo";

/// Finds the sheet by its four sides and fits homography and radial distortion to them.
///
/// Sides are traced at some hundreds of places each by the steepest step across the
/// coarse edge, sub-pixel, and fitted together, robustly (Tukey).
/// The sheet's top is the picture's top; a sheet whose sides' ratio says that it lies
/// the other way is turned by a quarter, with a finding.
///
/// Fails with kSheetNotFound (no sheet, an edge cut off by the frame, two sides hidden)
/// or kPhotoUnusable (too dark; under 1 px to the mm).
Result<SheetFrame> FindSheet(const Photo& photo, const Sheet& sheet);

/// Covariance of a place on the sheet owing to the camera's and to the paper's waves, 2 x 2
/// row-major, mm^2.
std::array<double, 4> PlaceCovariance(const SheetFrame& frame, Point sheet_mm);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_H_
