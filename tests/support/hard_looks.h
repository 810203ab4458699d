// SPDX-License-Identifier: Apache-2.0
// What makes tracing hard, laid over an imagined photo of tiles.
#ifndef TRUEPULL_TESTS_SUPPORT_HARD_LOOKS_H_
#define TRUEPULL_TESTS_SUPPORT_HARD_LOOKS_H_

#include <cmath>
#include <iterator>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "truepull/camera.h"
#include "truepull/geometry.h"

namespace truepull::testing {

/// An outline of the sheet as a mask of the photo, CV_32FC1, 0..1.
inline cv::Mat MaskOf(const Outline& outline, const SheetCamera& camera, cv::Size size) {
  cv::Mat mask = cv::Mat::zeros(size, CV_8UC1), out;
  std::vector<cv::Point> ring;
  for (const Point p : outline) {
    const Point q = camera.PhotoFromSheet(p);
    ring.emplace_back(static_cast<int>(std::lround(q.x * 64)), static_cast<int>(std::lround(q.y * 64)));
  }
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{ring}, cv::Scalar(255), cv::LINE_AA, 6);
  mask.convertTo(out, CV_32FC1, 1 / 255.0);
  return out;
}

/// Light (linear) times 1 - weight.
inline void Darken(cv::Mat& bgr, const cv::Mat& weight) {
  for (int y = 0; y < bgr.rows; ++y) {
    for (int x = 0; x < bgr.cols; ++x) {
      const float w = weight.at<float>(y, x);
      if (w <= 0) continue;
      for (int c = 0; c < 3; ++c) bgr.at<cv::Vec3b>(y, x)[c] = cv::saturate_cast<uchar>(bgr.at<cv::Vec3b>(y, x)[c] * std::pow(1 - w, 1 / 2.2F));
    }
  }
}

/// The shadow that a plate throws to one side, as long as `by`, under a lamp that is wide: the
/// shadow's length and direction differ by `wide` of it from one part of the lamp to another.
inline void ThrowShadow(cv::Mat& bgr, const Outline& outline, const SheetCamera& camera, Point by, double depth, double wide) {
  cv::Mat all = cv::Mat::zeros(bgr.size(), CV_32FC1);
  const Point side{-by.y, by.x};
  const Point parts[] = {{0, 0}, {1, 0}, {-1, 0}, {0, 1}, {0, -1}, {0.6, 0.6}, {-0.6, 0.6}, {0.6, -0.6}, {-0.6, -0.6}};
  for (const Point part : parts) {
    const Point reach = by + wide * (part.x * by + part.y * side);
    cv::Mat swept = cv::Mat::zeros(bgr.size(), CV_32FC1);
    constexpr int kSteps = 12;
    for (int k = 1; k <= kSteps; ++k) {
      Outline moved = outline;
      for (Point& p : moved) p = p + (static_cast<double>(k) / kSteps) * reach;
      swept = cv::max(swept, MaskOf(moved, camera, bgr.size()));
    }
    all += swept / static_cast<double>(std::size(parts));
  }
  Darken(bgr, depth * all.mul(1 - MaskOf(outline, camera, bgr.size())));
}

/// A window's or lamp's reflection: light added round `at`, falling off over `radius_mm`.
inline void AddGlare(cv::Mat& bgr, const SheetCamera& camera, const Outline& only_on, Point at, double radius_mm, double light) {
  const cv::Mat own = MaskOf(only_on, camera, bgr.size());
  for (int y = 0; y < bgr.rows; ++y) {
    for (int x = 0; x < bgr.cols; ++x) {
      if (own.at<float>(y, x) <= 0) continue;
      const double r = Norm(camera.SheetFromPhoto({1.0 * x, 1.0 * y}) - at) / radius_mm;
      const double add = light * own.at<float>(y, x) * std::exp(-r * r);
      for (int c = 0; c < 3; ++c) {
        const double linear = std::pow(bgr.at<cv::Vec3b>(y, x)[c] / 255.0, 2.2) + add;
        bgr.at<cv::Vec3b>(y, x)[c] = cv::saturate_cast<uchar>(255 * std::pow(std::min(1.0, linear), 1 / 2.2));
      }
    }
  }
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_HARD_LOOKS_H_
