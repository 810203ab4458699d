// SPDX-License-Identifier: Apache-2.0
#include "detect/sheet_slope.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/paper_light.h"

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

void CarryOnSlope(const cv::Mat& flat, const cv::Mat& bare, const cv::Rect& where, double px_per_mm, cv::Mat& paper) {
  const auto& linear = LinearOfCodes();
  // Every other pixel: light is smooth, and a quarter of the work is enough.
  const int reach = static_cast<int>(std::lround(0.5 * kReachMm * px_per_mm));
  const cv::Rect all(0, 0, paper.cols, paper.rows);
  const cv::Rect inner = cv::Rect(where.x / 2, where.y / 2, where.width / 2 + 1, where.height / 2 + 1) & all;
  const cv::Rect wide = cv::Rect(inner.x - reach, inner.y - reach, inner.width + 2 * reach, inner.height + 2 * reach) & all;
  std::array<cv::Mat, 5> moments;  // 1 x y, xx xy yy, then i, xi, yi of each channel.
  for (cv::Mat& m : moments) m = cv::Mat::zeros(wide.size(), CV_32FC3);
  const cv::Point middle(wide.width / 2, wide.height / 2);
  for (int y = 0; y < wide.height; ++y) {
    const auto* light = flat.ptr<cv::Vec3b>(2 * (wide.y + y)) + 2 * wide.x;
    const uchar* known = bare.ptr(2 * (wide.y + y)) + 2 * wide.x;
    std::array<cv::Vec3f*, 5> to;
    for (std::size_t k = 0; k < 5; ++k) to[k] = moments[k].ptr<cv::Vec3f>(y);
    for (int x = 0; x < wide.width; ++x) {
      if (!known[2 * x]) continue;
      const auto u = static_cast<float>(x - middle.x), v = static_cast<float>(y - middle.y);
      const cv::Vec3f i(linear[light[2 * x][0]], linear[light[2 * x][1]], linear[light[2 * x][2]]);
      to[0][x] = {1, u, v};
      to[1][x] = {u * u, u * v, v * v};
      to[2][x] = i;
      to[3][x] = u * i;
      to[4][x] = v * i;
    }
  }
  const int side = 2 * reach + 1;
  for (cv::Mat& m : moments) m = Sums(m, side);
  // A square of half a millimetre more: a single row of sheet says nothing across itself.
  const double least = 0.25 * px_per_mm * px_per_mm / 4;
  for (int y = inner.y - wide.y; y < inner.br().y - wide.y; ++y) {
    for (int x = inner.x - wide.x; x < inner.br().x - wide.x; ++x) {
      const auto sum = [&](std::size_t k) { return static_cast<cv::Vec3d>(moments[k].at<cv::Vec3f>(y, x)); };
      const cv::Vec3d first = sum(0), second = sum(1);
      const double n = first[0];
      if (n < kLeastShare * side * side) continue;
      const double mu = first[1] / n, mv = first[2] / n;
      const double uu = second[0] / n - mu * mu + least, uv = second[1] / n - mu * mv, vv = second[2] / n - mv * mv + least;
      const double det = uu * vv - uv * uv;
      const double du = x - middle.x - mu, dv = y - middle.y - mv;
      const cv::Vec3d light = sum(2), along = sum(3), down = sum(4);
      auto& out = paper.at<cv::Vec3f>(wide.y + y, wide.x + x);
      for (int c = 0; c < 3; ++c) {
        const double mean = light[c] / n, ui = along[c] / n - mu * mean, vi = down[c] / n - mv * mean;
        const double rise = (du * (vv * ui - uv * vi) + dv * (uu * vi - uv * ui)) / det;
        out[c] = static_cast<float>(std::clamp(mean + rise, 0.5 * mean, 1.5 * mean));
      }
    }
  }
}

}  // namespace truepull::detect
