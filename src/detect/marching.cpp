// SPDX-License-Identifier: Apache-2.0
#include "detect/marching.h"

#include <algorithm>
#include <array>

namespace truepull::detect {

Outline ZeroLine(const cv::Mat& value, cv::Point inside) {
  const auto at = [&](cv::Point p) {
    if (p.x < 0 || p.y < 0 || p.x >= value.cols || p.y >= value.rows) return -1e-6F;
    const float v = value.at<float>(p);
    const bool rim = p.x <= 0 || p.y <= 0 || p.x >= value.cols - 1 || p.y >= value.rows - 1;
    return rim ? std::min(v, -1e-6F) : v;
  };
  // Up as far as the region reaches straight above: its boundary is crossed there. Whether
  // it is the outer one the caller sees to by filling holes.
  cv::Point p = inside;
  while (at({p.x, p.y - 1}) > 0) --p.y;
  // Walk along the boundary between an inside pixel and its outside neighbour in direction
  // d. Clockwise: outside lies to the left of the way.
  static const std::array<cv::Point, 4> kStep{cv::Point{0, -1}, {1, 0}, {0, 1}, {-1, 0}};
  const cv::Point first = p;
  std::size_t d = 0;
  Outline line;
  const std::size_t most = 4 * value.total() + 4;
  do {
    const cv::Point out = p + kStep[d];
    const double a = at(p), b = at(out), t = a / (a - b);
    line.push_back({p.x + t * kStep[d].x, p.y + t * kStep[d].y});
    const std::size_t right = (d + 1) % 4;
    const cv::Point ahead = p + kStep[right], beyond = out + kStep[right];
    if (at(ahead) <= 0) {
      d = right;                       // Round the pixel's corner.
    } else if (at(beyond) <= 0) {
      p = ahead;                       // Straight on.
    } else {
      p = beyond;                      // Round an inner corner.
      d = (d + 3) % 4;
    }
  } while ((p != first || d != 0) && line.size() < most);
  return line;
}

}  // namespace truepull::detect
