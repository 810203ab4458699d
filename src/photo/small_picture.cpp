// SPDX-License-Identifier: Apache-2.0
#include "photo/small_picture.h"

#include <algorithm>
#include <cstdlib>
#include <opencv2/imgproc.hpp>

namespace truepull {

SmallPicture MakeSmallPicture(const cv::Mat& bgr, int longer_px) {
  SmallPicture small;
  const int longer = std::max(bgr.cols, bgr.rows);
  small.factor = std::max(1, (longer + longer_px / 2) / longer_px);
  const cv::Size size(bgr.cols / small.factor, bgr.rows / small.factor);
  cv::Mat mean;
  if (small.factor == 1) {
    mean = bgr;
  } else {
    // The last columns and rows that do not fill a square are left out, so that the
    // reduction is by a whole number.
    cv::resize(bgr(cv::Rect(0, 0, size.width * small.factor, size.height * small.factor)),
               mean,
               size,
               0,
               0,
               cv::INTER_AREA);
  }
  cv::cvtColor(mean, small.lab, cv::COLOR_BGR2Lab);
  small.white.create(size, CV_8UC1);
  for (int y = 0; y < size.height; ++y) {
    const cv::Vec3b* in = small.lab.ptr<cv::Vec3b>(y);
    unsigned char* out = small.white.ptr(y);
    for (int x = 0; x < size.width; ++x) {
      const int a = std::abs(in[x][1] - 128), b = std::abs(in[x][2] - 128);
      // max + min / 2 stands for the chroma (within 12 %); 3/4 of it keeps a cream
      // paper above a light wooden table.
      const int chroma = std::max(a, b) + std::min(a, b) / 2;
      out[x] = static_cast<unsigned char>(std::max(0, in[x][0] - 3 * chroma / 4));
    }
  }
  return small;
}

cv::Mat Halve(const cv::Mat& plane) {
  cv::Mat half;
  const cv::Size size(plane.cols / 2, plane.rows / 2);
  cv::resize(plane(cv::Rect(0, 0, size.width * 2, size.height * 2)), half, size, 0, 0, cv::INTER_AREA);
  return half;
}

}  // namespace truepull
