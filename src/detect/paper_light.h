// SPDX-License-Identifier: Apache-2.0
// Light on the sheet: photo pixels as shares of the paper's own white, under uneven light.
#ifndef TRUEPULL_SRC_DETECT_PAPER_LIGHT_H_
#define TRUEPULL_SRC_DETECT_PAPER_LIGHT_H_

#include <array>
#include <opencv2/core/mat.hpp>
#include <vector>

#include "truepull/camera.h"
#include "truepull/colour.h"
#include "truepull/photo.h"
#include "truepull/plan.h"

namespace truepull::detect {

/// Blue, green, red; shares of the paper's white.
using Light = std::array<float, 3>;

/// A map of the whole sheet in sheet frame: pixel (i, j) stands for the square around
/// ((i + 0.5) / px_per_mm, (j + 0.5) / px_per_mm) mm.
struct SheetMap {
  cv::Mat light;      // CV_32FC3, linear, shares of paper white (BGR).
  cv::Mat density;    // CV_32FC1, -ln of the mean of the channels, clipped to 0..3.
  double px_per_mm = 2;
};

/// The paper's white over the sheet: linear light by channel on a coarse grid.
class PaperLight {
 public:
  /// Linear light of bare paper at a place of the sheet.
  Light At(Point sheet_mm) const;
  cv::Mat field;            // CV_32FC3, one cell per `cell_mm`.
  double cell_mm = 6;
};

/// The rectified map and the paper's white, both found from a photo.
///
/// Paper is where no site is planned, and whatever lies within a few per cent of a
/// smooth surface through it; the surface follows soft shadows of 15 mm and more.
struct LitSheet {
  SheetMap map;
  PaperLight paper;
  double paper_level = 0;    // Median linear light of bare paper, 0..1.
  double paper_noise = 0;    // Relative spread of bare paper in the map.
};
LitSheet LightSheet(const Photo& photo, const SheetCamera& camera, const Plan& plan);

/// Reads linear light from the photo, bilinear, without making a linear copy of it.
class PhotoSampler {
 public:
  explicit PhotoSampler(const cv::Mat& bgr) : image_(bgr), lut_(LinearOfCodes()) {}
  bool Inside(double u, double v) const {
    return u >= 0 && v >= 0 && u < image_.cols - 1 && v < image_.rows - 1;
  }
  /// Caller has checked Inside.
  Light At(double u, double v) const {
    const int i = static_cast<int>(u), j = static_cast<int>(v);
    const float a = static_cast<float>(u - i), b = static_cast<float>(v - j);
    const uchar* p = image_.ptr<uchar>(j) + 3 * i;
    const uchar* q = p + image_.step[0];
    Light out;
    for (std::size_t c = 0; c < 3; ++c) {
      const float top = lut_[p[c]] + a * (lut_[p[c + 3]] - lut_[p[c]]);
      const float bottom = lut_[q[c]] + a * (lut_[q[c + 3]] - lut_[q[c]]);
      out[c] = top + b * (bottom - top);
    }
    return out;
  }
  float MeanAt(double u, double v) const {
    const Light l = At(u, v);
    return (l[0] + l[1] + l[2]) * (1.0f / 3);
  }

 private:
  const cv::Mat& image_;
  const std::array<float, 256>& lut_;
};

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_PAPER_LIGHT_H_
