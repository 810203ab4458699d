// SPDX-License-Identifier: Apache-2.0
// The sheet's light carried on under what lies on it, with its slope.
#ifndef TRUEPULL_SRC_DETECT_SHEET_SLOPE_H_
#define TRUEPULL_SRC_DETECT_SHEET_SLOPE_H_

#include <opencv2/core/mat.hpp>

namespace truepull::detect {

/// Puts into `paper` (CV_32FC3, linear light at half the scale of `flat`: its place x is pixel
/// 2 x), within `where` of `flat`, the plane that fits the sheet's light best (least squares over
/// the bare sheet within 5 mm), read off at each place. A mean would be that of the sheet
/// some millimetres further out: where a shadow's edge runs along a tile's it is too light.
/// Places with too little bare sheet near keep what they have.
void CarryOnSlope(const cv::Mat& flat, const cv::Mat& bare, const cv::Rect& where, double px_per_mm,
                  cv::Mat& paper);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_SHEET_SLOPE_H_
