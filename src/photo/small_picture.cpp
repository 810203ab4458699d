// SPDX-License-Identifier: Apache-2.0
#include "photo/small_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <opencv2/core/utility.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "truepull/colour.h"

namespace truepull {
namespace {

// CIE 1976 L*a*b* under D65 in OpenCV's eight bits (L* 255 / 100, a* + 128, b* + 128), from tables,
// to one code. OpenCV's own conversion spends 60 ms on its tables at first use: more than
// all the rest of finding the sheet.
constexpr int kRoots = 8192;

struct LabTables {
  std::vector<float> root = std::vector<float>(kRoots + 1);   // f(t) of CIELAB over t = 0..1.
  LabTables() {
    for (int i = 0; i <= kRoots; ++i) {
      const double t = static_cast<double>(i) / kRoots;
      root[static_cast<std::size_t>(i)] = static_cast<float>(t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116);
    }
  }
  float Root(float t) const { return root[static_cast<std::size_t>(std::clamp(t, 0.0f, 1.0f) * kRoots + 0.5f)]; }
};

void LabFromBgr(const cv::Mat& bgr, cv::Mat& lab) {
  static const LabTables tables;
  const std::array<float, 256>& linear = LinearOfCodes();
  lab.create(bgr.size(), CV_8UC3);
  const auto code = [](float v) { return static_cast<unsigned char>(std::clamp(v + 0.5f, 0.0f, 255.0f)); };
  cv::parallel_for_(cv::Range(0, bgr.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y) {
      const unsigned char* in = bgr.ptr(y);
      unsigned char* out = lab.ptr(y);
      for (int x = 0; x < 3 * bgr.cols; x += 3) {
        const float b = linear[in[x]], g = linear[in[x + 1]], r = linear[in[x + 2]];
        // IEC 61966-2-1, over D65's white.
        const float fx = tables.Root(0.433953f * r + 0.376219f * g + 0.189828f * b);
        const float fy = tables.Root(0.212671f * r + 0.715160f * g + 0.072169f * b);
        const float fz = tables.Root(0.017758f * r + 0.109477f * g + 0.872766f * b);
        out[x] = code((116 * fy - 16) * 2.55f);
        out[x + 1] = code(500 * (fx - fy) + 128);
        out[x + 2] = code(200 * (fy - fz) + 128);
      }
    }
  });
}

}  // namespace

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
  LabFromBgr(mean, small.lab);
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
