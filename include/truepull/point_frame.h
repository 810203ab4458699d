// SPDX-License-Identifier: Apache-2.0
// The sheet's frame from points that a person gives: for photos in which no edge can be used.
#ifndef TRUEPULL_POINT_FRAME_H_
#define TRUEPULL_POINT_FRAME_H_

#include <span>
#include <string>
#include <vector>

#include "truepull/photo.h"

namespace truepull {

/// A place that is known in the photo and on the sheet.
struct GivenPoint {
  Point photo_px;   // Upright photo, pixel centres at whole numbers.
  Point sheet_mm;
};

/// The frame, and how far each point lies from where all together put it.
struct PointFrame {
  SheetFrame frame;
  std::vector<Point> residual_px;
  std::vector<double> residual_mm;
};

/// "PX,PY=MMX,MMY". Fails with kBadArgument.
Result<GivenPoint> ParseGivenPoint(const std::string& text);

/// Fits homography and radial distortion to four or more points, by least squares in the photo
/// (Gauss-Newton from the linear solution of Hartley & Zisserman, Multiple View Geometry, 4.1).
///
/// k1 is held by its prior, 0 +- 0.05 (as for the sheet's sides), which few points leave as it is
/// and many overrule; what is not known of it goes into the covariance. A point's own standard
/// uncertainty is taken to be half a pixel a coordinate until the residuals say more.
///
/// photo  For its size and its focal length.
/// Fails with kBadArgument: fewer than four points, two at one place, all but one on one line, or
/// points that no flat sheet shows so. A point that lies far off the rest is a finding.
Result<PointFrame> FrameFromPoints(const Photo& photo, const Sheet& sheet, std::span<const GivenPoint> points);

}  // namespace truepull

#endif  // TRUEPULL_POINT_FRAME_H_
