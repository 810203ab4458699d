// SPDX-License-Identifier: Apache-2.0
// The annotated picture of a reading: the sheet laid flat, with what was found on it.
#ifndef TRUEPULL_PICTURE_H_
#define TRUEPULL_PICTURE_H_

#include <opencv2/core/mat.hpp>

#include "truepull/colour.h"
#include "truepull/drift.h"
#include "truepull/tile_reading.h"

namespace truepull {

struct PictureOptions {
  double px_per_mm = 4;     // Shows 0.25 mm; more only makes the file heavier ...
  int max_width_px = 2000;  // ... and large sheets are held to this.
  double margin_mm = 12;    // Of the table round the sheet, so that the frame can be judged.
};

/// The sheet as if seen from straight above: area-averaged from the photo and warped once
/// through the camera. `margin_mm` of the table is shown all round. CV_8UC3.
cv::Mat RectifySheet(const cv::Mat& bgr,
                     const SheetCamera& camera,
                     const Sheet& sheet,
                     double px_per_mm,
                     double margin_mm);

/// The rectified photo with found outlines (full), ideal outlines (thin, broken), drift
/// arrows (magnified, and labelled so), states by sign as well as colour, site labels,
/// rulers in mm along the edges and a legend below. CV_8UC3.
///
/// lined  Where given, becomes the same picture with DrawRegionLines' lines beneath the marks.
cv::Mat DrawReadingPicture(const cv::Mat& bgr,
                           const Reading& reading,
                           const DriftReport& drift,
                           const PictureOptions& options = {},
                           cv::Mat* lined = nullptr);

/// Pixels to the mm of DrawReadingPicture's picture.
double PixelsPerMm(const Sheet& sheet, const PictureOptions& options);

/// Thin lines round the colours of every pull (yellow round bare paper, else white) on the flat
/// sheet as RectifySheet makes it with the same options. No line follows a pull's outline: that
/// is drawn already.
void DrawRegionLines(cv::Mat& flat, const Reading& reading, const PictureOptions& options = {});

/// The flat sheet as it is (left) and with the next layer painted on it (right), as `hiding` and
/// `ink` (reflectance on bare paper) have it by Overprint: every pixel keeps its texture.
///
/// plates  Where the layer prints, sheet mm as photographed. No margin is shown. CV_8UC3.
cv::Mat DrawPreview(const cv::Mat& bgr, const Reading& reading, const std::vector<Outline>& plates,
                    const LinearColour& ink, double hiding, const PictureOptions& options = {});

}  // namespace truepull

#endif  // TRUEPULL_PICTURE_H_
