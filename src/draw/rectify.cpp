// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "truepull/picture.h"

namespace truepull {
namespace {

constexpr int kNode = 16;  // Pixels between exact places of the map; between them it is
                           // all but straight (a lens bends 16 px by under 0.01 px).

// Where each pixel of the flat picture lies in the photo made `shrink` times smaller, as
// OpenCV's fixed-point maps (whole pixels, and 32nds): half the time of floating ones.
void MakeMaps(const SheetCamera& camera, cv::Size size, double px_per_mm, double margin_mm, int shrink,
              cv::Size photo, cv::Mat& whole, cv::Mat& part) {
  const int nodes = size.width / kNode + 2;
  const auto node_row = [&](int y) {
    std::vector<cv::Point2f> row(static_cast<std::size_t>(nodes));
    for (int i = 0; i < nodes; ++i) {
      const Point mm{(i * kNode + 0.5) / px_per_mm - margin_mm, (y + 0.5) / px_per_mm - margin_mm};
      const Point p = camera.PhotoFromSheet(mm);
      // Pixel centres at whole numbers in both pictures. Held near the photo, so that
      // places behind the camera do no harm.
      row[static_cast<std::size_t>(i)] = {
          static_cast<float>(std::clamp((p.x + 0.5) / shrink - 0.5, -2.0, photo.width + 2.0)),
          static_cast<float>(std::clamp((p.y + 0.5) / shrink - 0.5, -2.0, photo.height + 2.0))};
    }
    return row;
  };
  constexpr float kParts = cv::INTER_TAB_SIZE;  // 32.
  constexpr float kShift = 64 * kParts + 0.5F;
  constexpr int kLast = cv::INTER_TAB_SIZE - 1;
  whole.create(size, CV_16SC2);
  part.create(size, CV_16UC1);
  std::vector<cv::Point2f> above = node_row(0), below;
  std::vector<cv::Point2f> here(static_cast<std::size_t>(nodes));
  for (int y = 0; y < size.height; ++y) {
    if (y % kNode == 0) {
      if (y > 0) above = below;
      below = node_row(y + kNode);
    }
    const float t = static_cast<float>(y % kNode) / kNode;
    for (std::size_t i = 0; i < here.size(); ++i) here[i] = kParts * ((1 - t) * above[i] + t * below[i]);
    cv::Vec2s* to = whole.ptr<cv::Vec2s>(y);
    unsigned short* rest = part.ptr<unsigned short>(y);
    for (int x = 0; x < size.width; ++x) {
      const auto i = static_cast<std::size_t>(x / kNode);
      const float s = static_cast<float>(x % kNode) / kNode;
      // Places are over -64 px, so that cutting off rounds down; half a part rounds.
      const int u = static_cast<int>(here[i].x + s * (here[i + 1].x - here[i].x) + kShift);
      const int v = static_cast<int>(here[i].y + s * (here[i + 1].y - here[i].y) + kShift);
      to[x] = {static_cast<short>((u >> cv::INTER_BITS) - 64), static_cast<short>((v >> cv::INTER_BITS) - 64)};
      rest[x] = static_cast<unsigned short>((v & kLast) << cv::INTER_BITS | (u & kLast));
    }
  }
}

}  // namespace

cv::Mat RectifySheet(const cv::Mat& bgr,
                     const SheetCamera& camera,
                     const Sheet& sheet,
                     double px_per_mm,
                     double margin_mm) {
  const cv::Size size(static_cast<int>(std::lround((sheet.width_mm + 2 * margin_mm) * px_per_mm)),
                      static_cast<int>(std::lround((sheet.height_mm + 2 * margin_mm) * px_per_mm)));
  // Averaged down first by a whole number, to about the scale at the sheet's middle, so
  // that no pixel is skipped; the warp then reads between pixels. 30000: the warp's maps
  // count pixels in 16 bits.
  const double photo_px_per_mm = camera.PixelsPerMm({sheet.width_mm / 2, sheet.height_mm / 2});
  const int shrink = std::max({1, static_cast<int>(std::lround(photo_px_per_mm / px_per_mm)),
                               (std::max(bgr.cols, bgr.rows) + 29999) / 30000});
  cv::Mat small = bgr;
  if (shrink > 1) {
    const cv::Size to(std::max(1, bgr.cols / shrink), std::max(1, bgr.rows / shrink));
    cv::resize(bgr(cv::Rect(0, 0, std::min(bgr.cols, to.width * shrink), std::min(bgr.rows, to.height * shrink))),
               small, to, 0, 0, cv::INTER_AREA);
  }
  cv::Mat whole, part, out;
  MakeMaps(camera, size, px_per_mm, margin_mm, shrink, small.size(), whole, part);
  cv::remap(small, out, whole, part, cv::INTER_LINEAR, cv::BORDER_CONSTANT, cv::Scalar::all(128));
  return out;
}

}  // namespace truepull
