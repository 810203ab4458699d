// SPDX-License-Identifier: Apache-2.0
#include "truepull/photo_faults.h"

#include <cmath>

namespace truepull {
namespace {

constexpr double kStepMm = 1.5;
constexpr int kBurnt = 250;

bool BurntOut(const cv::Mat& bgr, int u, int v) {
  int sum[3] = {0, 0, 0};
  for (int y = v - 1; y <= v + 1; ++y) {
    const uchar* p = bgr.ptr<uchar>(y) + 3 * (u - 1);
    for (int k = 0; k < 9; ++k) sum[k % 3] += p[k];
  }
  return sum[0] >= 9 * kBurnt && sum[1] >= 9 * kBurnt && sum[2] >= 9 * kBurnt;
}

}  // namespace

double BurntOutShare(const cv::Mat& bgr, const SheetCamera& camera, const Sheet& sheet) {
  double burnt = 0, all = 0;
  for (double y = kStepMm / 2; y < sheet.height_mm; y += kStepMm) {
    for (double x = kStepMm / 2; x < sheet.width_mm; x += kStepMm) {
      const Point at = camera.PhotoFromSheet({x, y});
      const int u = static_cast<int>(std::lround(at.x)), v = static_cast<int>(std::lround(at.y));
      if (u < 1 || v < 1 || u >= bgr.cols - 1 || v >= bgr.rows - 1) continue;
      all += 1;
      burnt += BurntOut(bgr, u, v) ? 1 : 0;
    }
  }
  return all > 0 ? burnt / all : 0;
}

}  // namespace truepull
