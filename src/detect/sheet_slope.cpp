// SPDX-License-Identifier: Apache-2.0
#include "detect/sheet_slope.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace truepull::detect {
namespace {

constexpr double kReachMm = 5;        // Half the window's side.
constexpr double kLeastShare = 0.08;  // Of the window that must be bare sheet.

cv::Mat Sums(const cv::Mat& values, int side) {
  cv::Mat out;
  cv::boxFilter(values, out, -1, {side, side}, {-1, -1}, false, cv::BORDER_CONSTANT);
  return out;
}

}  // namespace

void CarryOnSlope(const cv::Mat& light, const cv::Mat& bare, const cv::Rect& where, double px_per_mm, cv::Mat& paper) {
  // Every other pixel: light is smooth, and a quarter of the work is enough.
  const int reach = static_cast<int>(std::lround(kReachMm * px_per_mm));
  const cv::Rect all(0, 0, light.cols, light.rows);
  const cv::Rect wide = cv::Rect(where.x - reach, where.y - reach, where.width + 2 * reach, where.height + 2 * reach) & all;
  const cv::Size size((wide.width + 1) / 2, (wide.height + 1) / 2);
  std::array<cv::Mat, 15> moments;  // 1 x y xx xy yy, then i xi yi of each channel.
  for (cv::Mat& m : moments) m = cv::Mat::zeros(size, CV_64FC1);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      if (!bare.at<uchar>(wide.y + 2 * y, wide.x + 2 * x)) continue;
      const auto& i = light.at<cv::Vec3f>(wide.y + 2 * y, wide.x + 2 * x);
      const double u = x - 0.5 * size.width, v = y - 0.5 * size.height;
      const std::array<double, 6> shape{1, u, v, u * u, u * v, v * v};
      for (std::size_t k = 0; k < 6; ++k) moments[k].at<double>(y, x) = shape[k];
      for (int c = 0; c < 3; ++c) {
        const auto at = 6 + 3 * static_cast<std::size_t>(c);
        moments[at].at<double>(y, x) = i[c];
        moments[at + 1].at<double>(y, x) = u * i[c];
        moments[at + 2].at<double>(y, x) = v * i[c];
      }
    }
  }
  const int side = 2 * (reach / 2) + 1;
  for (cv::Mat& m : moments) m = Sums(m, side);
  cv::Mat plane(size, CV_32FC3), fitted = cv::Mat::zeros(size, CV_8UC1);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      const auto sum = [&](std::size_t k) { return moments[k].at<double>(y, x); };
      const double n = sum(0);
      auto& out = plane.at<cv::Vec3f>(y, x);
      out = paper.at<cv::Vec3f>(wide.y + 2 * y, wide.x + 2 * x);
      if (n < kLeastShare * side * side) continue;
      fitted.at<uchar>(y, x) = 255;
      const double mu = sum(1) / n, mv = sum(2) / n;
      // A square of half a millimetre more: a single row of sheet says nothing across itself.
      const double least = 0.25 * px_per_mm * px_per_mm / 4;
      const double uu = sum(3) / n - mu * mu + least, uv = sum(4) / n - mu * mv, vv = sum(5) / n - mv * mv + least;
      const double det = uu * vv - uv * uv;
      const double du = x - 0.5 * size.width - mu, dv = y - 0.5 * size.height - mv;
      for (int c = 0; c < 3; ++c) {
        const auto at = 6 + 3 * static_cast<std::size_t>(c);
        const double mean = sum(at) / n, ui = sum(at + 1) / n - mu * mean, vi = sum(at + 2) / n - mv * mean;
        const double rise = (du * (vv * ui - uv * vi) + dv * (uu * vi - uv * ui)) / det;
        out[c] = static_cast<float>(std::clamp(mean + rise, 0.5 * mean, 1.5 * mean));
      }
    }
  }
  cv::Mat up, known;
  const cv::Matx23d small_from_large(0.5, 0, 0, 0, 0.5, 0);
  cv::warpAffine(plane, up, small_from_large, wide.size(), cv::INTER_LINEAR | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  cv::warpAffine(fitted, known, small_from_large, wide.size(), cv::INTER_NEAREST | cv::WARP_INVERSE_MAP, cv::BORDER_REPLICATE);
  const cv::Rect inner = where & all;
  const cv::Rect part(inner.x - wide.x, inner.y - wide.y, inner.width, inner.height);
  up(part).copyTo(paper(inner), known(part));
}

}  // namespace truepull::detect
