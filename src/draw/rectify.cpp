// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "truepull/picture.h"

namespace truepull {
namespace {

constexpr int kNode = 16;  // Pixels between exact places of the map; between them it is
                           // all but straight (a lens bends 16 px by under 0.01 px).

// Where each pixel of the flat picture lies in the photo that was made `shrink` smaller.
cv::Mat MapOf(const SheetCamera& camera, cv::Size size, double px_per_mm, double margin_mm, double shrink) {
  const int nodes = size.width / kNode + 2;
  const auto node_row = [&](int y) {
    std::vector<cv::Point2f> row(static_cast<std::size_t>(nodes));
    for (int i = 0; i < nodes; ++i) {
      const Point mm{(i * kNode + 0.5) / px_per_mm - margin_mm, (y + 0.5) / px_per_mm - margin_mm};
      const Point p = camera.PhotoFromSheet(mm);
      // Pixel centres at whole numbers in both pictures.
      row[static_cast<std::size_t>(i)] = {static_cast<float>((p.x + 0.5) * shrink - 0.5),
                                          static_cast<float>((p.y + 0.5) * shrink - 0.5)};
    }
    return row;
  };
  cv::Mat map(size, CV_32FC2);
  std::vector<cv::Point2f> above = node_row(0), below;
  std::vector<cv::Point2f> here(static_cast<std::size_t>(nodes));
  for (int y = 0; y < size.height; ++y) {
    if (y % kNode == 0) {
      if (y > 0) above = below;
      below = node_row(y + kNode);
    }
    const float t = static_cast<float>(y % kNode) / kNode;
    for (std::size_t i = 0; i < here.size(); ++i) here[i] = (1 - t) * above[i] + t * below[i];
    cv::Vec2f* out = map.ptr<cv::Vec2f>(y);
    for (int x = 0; x < size.width; ++x) {
      const auto i = static_cast<std::size_t>(x / kNode);
      const float s = static_cast<float>(x % kNode) / kNode;
      out[x] = {here[i].x + s * (here[i + 1].x - here[i].x), here[i].y + s * (here[i + 1].y - here[i].y)};
    }
  }
  return map;
}

}  // namespace

cv::Mat RectifySheet(const cv::Mat& bgr,
                     const SheetCamera& camera,
                     const Sheet& sheet,
                     double px_per_mm,
                     double margin_mm) {
  const cv::Size size(static_cast<int>(std::lround((sheet.width_mm + 2 * margin_mm) * px_per_mm)),
                      static_cast<int>(std::lround((sheet.height_mm + 2 * margin_mm) * px_per_mm)));
  // Averaged down first, to the scale at the sheet's middle, so that no pixel is skipped.
  const double photo_px_per_mm = camera.PixelsPerMm({sheet.width_mm / 2, sheet.height_mm / 2});
  double shrink = std::min(1.0, px_per_mm / photo_px_per_mm);
  cv::Mat small = bgr;
  if (shrink < 0.9) {
    cv::Size to(static_cast<int>(std::lround(bgr.cols * shrink)), static_cast<int>(std::lround(bgr.rows * shrink)));
    to.width = std::max(1, to.width), to.height = std::max(1, to.height);
    cv::resize(bgr, small, to, 0, 0, cv::INTER_AREA);
    shrink = static_cast<double>(to.width) / bgr.cols;
  } else {
    shrink = 1;
  }
  cv::Mat out;
  cv::remap(small, out, MapOf(camera, size, px_per_mm, margin_mm, shrink), cv::noArray(), cv::INTER_LINEAR,
            cv::BORDER_CONSTANT, cv::Scalar::all(128));
  return out;
}

}  // namespace truepull
