// SPDX-License-Identifier: Apache-2.0
#include "detect/common_drawing.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "detect/region_outlines.h"

namespace truepull::detect {
namespace {

// Of the region's density. Tooth and strokes stay within these nearly everywhere.
constexpr float kThinner = 0.66F, kDenser = 1.3F;
constexpr float kLeast = 0.2F;        // Density: less is paper's own unevenness.
constexpr std::size_t kFewest = 5;
constexpr float kShare = 0.55F;       // Of the pulls; bare specks: 0.1 to 0.3 at any place.
constexpr double kLeastMm2 = 1.5, kShortestMm = 3;
constexpr double kToleranceMm = 0.2;

}  // namespace

cv::Mat DeparturesOf(const TileLight& pull, const cv::Mat& labels, std::span<const float> mean) {
  cv::Mat out(labels.size(), CV_8S, cv::Scalar(2));
  for (int j = 2; j + 2 < labels.rows; ++j) {
    for (int i = 2; i + 2 < labels.cols; ++i) {
      const uchar label = labels.at<uchar>(j, i);
      if (label >= mean.size() || pull.use.at<uchar>(j, i) != 1) continue;
      // Beside another region light is mixed.
      bool border = false;
      for (const int d : {-2, -1, 1, 2}) border = border || labels.at<uchar>(j + d, i) != label || labels.at<uchar>(j, i + d) != label;
      if (border) {
        out.at<schar>(j, i) = 0;
        continue;
      }
      const float density = DensityOf(pull.light.at<cv::Vec3f>(j, i)), region = mean[label];
      out.at<schar>(j, i) = density < std::min(kThinner * region, region - kLeast) ? -1 : density > std::max(kDenser * region, region + kLeast) ? 1 : 0;
    }
  }
  return out;
}

CommonDrawing FindCommonDrawing(const TileGrid& grid, std::span<const cv::Mat* const> departures) {
  CommonDrawing drawing;
  if (departures.size() < kFewest) return drawing;
  cv::Mat off(grid.rows, grid.columns, CV_32F, cv::Scalar(0)), seen = off.clone();
  for (const cv::Mat* d : departures) {
    for (int j = 0; j < grid.rows; ++j) {
      for (int i = 0; i < grid.columns; ++i) {
        const schar v = d->at<schar>(j, i);
        if (v == 2) continue;
        seen.at<float>(j, i) += 1;
        off.at<float>(j, i) += v != 0 ? 1.0F : 0.0F;
      }
    }
  }
  cv::Mat field(grid.rows, grid.columns, CV_32F, cv::Scalar(-kShare));
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      const float n = seen.at<float>(j, i);
      if (n >= kFewest && grid.depth.at<float>(j, i) > 1) field.at<float>(j, i) = off.at<float>(j, i) / n - kShare;
    }
  }
  // Dots are no drawing.
  cv::Mat parts, stats, middles;
  const int n = cv::connectedComponentsWithStats(field > 0, parts, stats, middles, 8);
  bool any = false;
  for (int k = 1; k < n; ++k) {
    const double mm2 = stats.at<int>(k, cv::CC_STAT_AREA) * grid.step_mm * grid.step_mm;
    const double length = grid.step_mm * std::max(stats.at<int>(k, cv::CC_STAT_WIDTH), stats.at<int>(k, cv::CC_STAT_HEIGHT));
    if (mm2 >= kLeastMm2 && length >= kShortestMm) any = true;
    else field.setTo(-0.1F, parts == k);
  }
  if (!any) return drawing;
  drawing.outlines = LoopsOf(field, grid, kToleranceMm, 0.3);
  drawing.field = field;
  cv::Mat wide, border;
  const auto disc = [](int size) { return cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size}); };
  cv::dilate(field > 0, wide, disc(9));
  cv::dilate(field > 0, border, disc(5));
  drawing.beside = wide & ~border;
  return drawing;
}

}  // namespace truepull::detect
