// SPDX-License-Identifier: Apache-2.0
// The next pass painted over the photo, beside the photo as it is.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "truepull/picture.h"

namespace truepull {
namespace {

constexpr int kShift = 4;  // Outlines to a sixteenth of a pixel.

// Light of bare paper: per primary the 90th percentile of what lies outside all pulls.
LinearColour PaperLight(const cv::Mat& flat, const cv::Mat& covered) {
  std::array<std::array<int, 256>, 3> counts{};
  int total = 0;
  for (int y = 0; y < flat.rows; y += 2) {
    for (int x = 0; x < flat.cols; x += 2) {
      if (covered.at<uchar>(y, x) != 0) continue;
      const auto& p = flat.at<cv::Vec3b>(y, x);
      for (int k = 0; k < 3; ++k) ++counts[static_cast<std::size_t>(k)][p[k]];
      ++total;
    }
  }
  std::array<double, 3> light{1, 1, 1};
  for (std::size_t k = 0; k < 3 && total > 0; ++k) {
    int sum = 0, code = 255;
    for (; code > 0 && sum + counts[k][static_cast<std::size_t>(code)] < total / 10; --code) sum += counts[k][static_cast<std::size_t>(code)];
    light[k] = LinearOfCoded(code / 255.0);
  }
  return {light[2], light[1], light[0]};
}

std::vector<cv::Point> Pixels(const Outline& outline, double px_per_mm) {
  std::vector<cv::Point> out;
  for (const Point p : outline) {
    // Pixel centres at whole numbers: the sheet's corner lies at -0.5.
    out.emplace_back(static_cast<int>(std::lround((p.x * px_per_mm - 0.5) * (1 << kShift))),
                     static_cast<int>(std::lround((p.y * px_per_mm - 0.5) * (1 << kShift))));
  }
  return out;
}

}  // namespace

cv::Mat DrawPreview(const cv::Mat& bgr, const Reading& reading, const std::vector<Outline>& plates,
                    const LinearColour& ink, double hiding, const PictureOptions& options) {
  const double scale = std::min(options.px_per_mm, options.max_width_px / (2 * reading.plan.sheet.width_mm));
  const cv::Mat flat = RectifySheet(bgr, reading.sheet.camera, reading.plan.sheet, scale, 0);
  cv::Mat pulled(flat.size(), CV_8U, cv::Scalar(0)), layer(flat.size(), CV_8U, cv::Scalar(0));
  for (const SiteReading& s : reading.sheet.sites) {
    if (s.state == SiteState::kMissing) continue;
    const auto points = Pixels(Apply(s.found, OutlineAt(reading.plan, s.site)), scale);
    cv::fillPoly(pulled, std::vector<std::vector<cv::Point>>{points}, cv::Scalar(255), cv::LINE_AA, kShift);
  }
  for (const Outline& plate : plates) {
    cv::fillPoly(layer, std::vector<std::vector<cv::Point>>{Pixels(plate, scale)}, cv::Scalar(255), cv::LINE_AA, kShift);
  }
  const LinearColour paper = PaperLight(flat, pulled);
  // Per primary a table from the code below to the code above, so that each pixel keeps its texture.
  std::array<std::array<double, 256>, 3> over{};
  const std::array<double, 3> ink_of{ink.b, ink.g, ink.r}, paper_of{paper.b, paper.g, paper.r};
  for (std::size_t k = 0; k < 3; ++k) {
    for (std::size_t code = 0; code < 256; ++code) {
      const double below = LinearOfCoded(static_cast<double>(code) / 255);
      const double light = (1 - hiding) * below * ink_of[k] + hiding * ink_of[k] * paper_of[k];
      over[k][code] = 255 * CodedOfLinear(std::clamp(light, 0.0, 1.0));
    }
  }
  const int gap = std::max(4, flat.cols / 100);
  cv::Mat out(flat.rows, 2 * flat.cols + gap, CV_8UC3, cv::Scalar(255, 255, 255));
  flat.copyTo(out(cv::Rect(0, 0, flat.cols, flat.rows)));
  for (int y = 0; y < flat.rows; ++y) {
    for (int x = 0; x < flat.cols; ++x) {
      const auto& p = flat.at<cv::Vec3b>(y, x);
      const double share = layer.at<uchar>(y, x) / 255.0;
      cv::Vec3b& q = out.at<cv::Vec3b>(y, x + flat.cols + gap);
      for (int k = 0; k < 3; ++k) {
        q[k] = cv::saturate_cast<uchar>((1 - share) * p[k] + share * over[static_cast<std::size_t>(k)][p[k]]);
      }
    }
  }
  return out;
}

}  // namespace truepull
