// SPDX-License-Identifier: Apache-2.0
#include "detect/reached_paper.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

namespace truepull::detect {

cv::Mat Restlessness(const cv::Mat& linear, cv::Size size) {
  cv::Mat grey(linear.size(), CV_32F), square(linear.size(), CV_32F, cv::Scalar(0)), out;
  for (int j = 0; j < linear.rows; ++j) {
    const auto* in = linear.ptr<cv::Vec3f>(j);
    auto* to = grey.ptr<float>(j);
    for (int i = 0; i < linear.cols; ++i) to[i] = std::log(std::max(3e-4f, in[i][0] + in[i][1] + in[i][2]));
  }
  for (int j = 0; j + 1 < linear.rows; ++j) {
    const auto* a = grey.ptr<float>(j);
    const auto* b = grey.ptr<float>(j + 1);
    auto* to = square.ptr<float>(j);
    for (int i = 0; i + 1 < linear.cols; ++i) {
      const float x = a[i + 1] - a[i], y = b[i] - a[i];
      to[i] = 0.25f * (x * x + y * y);
    }
  }
  cv::resize(square, out, size, 0, 0, cv::INTER_AREA);
  cv::sqrt(out, out);
  return out;
}

cv::Mat ReachedPaper(const cv::Mat& off, const cv::Mat& restless, const cv::Mat& sure, const cv::Mat& weight,
                     bool enclosed) {
  constexpr float kStep = 0.07f;        // Of ln light from cell to cell: half of it lost in 20 mm.
  constexpr float kHue = 0.05f;         // Of a channel against the mean of the three.
  constexpr float kDarkest = -0.9f;     // No shadow that still lets one measure is deeper.
  constexpr int kLeastCells = 25;       // 100 square mm: a calm spot inside a pull is smaller.
  std::vector<float> usual;
  for (int j = 0; j < off.rows; ++j) {
    for (int i = 0; i < off.cols; ++i) {
      if (sure.at<uchar>(j, i) && weight.at<float>(j, i) > 0.3f) usual.push_back(restless.at<float>(j, i));
    }
  }
  cv::Mat reached(off.size(), CV_8U, cv::Scalar(0));
  if (usual.size() < 50) return reached;
  std::nth_element(usual.begin(), usual.begin() + static_cast<std::ptrdiff_t>(usual.size() / 2), usual.end());
  const float most = 1.8f * usual[usual.size() / 2] + 0.004f;
  const auto mean = [&](int j, int i) {
    const cv::Vec3f& d = off.at<cv::Vec3f>(j, i);
    return (d[0] + d[1] + d[2]) / 3;
  };
  const auto like_paper = [&](int j, int i) {
    const cv::Vec3f& d = off.at<cv::Vec3f>(j, i);
    const float m = mean(j, i);
    return restless.at<float>(j, i) < most && m > kDarkest &&
           std::max({std::abs(d[0] - m), std::abs(d[1] - m), std::abs(d[2] - m)}) < kHue;
  };
  // All that is joined to `open` by small steps; what borders on it is counted as lighter or darker.
  const auto flood = [&](std::vector<cv::Point> open, uchar mark, int& cells, int& border, int& lighter) {
    while (!open.empty()) {
      const cv::Point p = open.back();
      open.pop_back();
      ++cells;
      for (const cv::Point d : {cv::Point(1, 0), cv::Point(-1, 0), cv::Point(0, 1), cv::Point(0, -1)}) {
        const cv::Point q = p + d;
        if (q.x < 0 || q.y < 0 || q.x >= off.cols || q.y >= off.rows || reached.at<uchar>(q)) continue;
        if (std::abs(mean(q.y, q.x) - mean(p.y, p.x)) <= kStep && like_paper(q.y, q.x)) {
          reached.at<uchar>(q) = mark;
          open.push_back(q);
          continue;
        }
        const cv::Point beyond = q + d;
        if (beyond.x < 0 || beyond.y < 0 || beyond.x >= off.cols || beyond.y >= off.rows) continue;
        ++border;
        lighter += mean(beyond.y, beyond.x) > mean(p.y, p.x) - 0.03f;
      }
    }
  };
  int cells = 0, border = 0, lighter = 0;
  std::vector<cv::Point> open;
  for (int j = 0; j < off.rows; ++j) {
    for (int i = 0; i < off.cols; ++i) {
      if (!sure.at<uchar>(j, i) || !like_paper(j, i)) continue;
      reached.at<uchar>(j, i) = 1;
      open.emplace_back(i, j);
    }
  }
  flood(open, 1, cells, border, lighter);
  if (!enclosed) return reached;
  // Empty sites that pulls enclose all round: calm, of the paper's hue, and nothing beside them lighter.
  for (int j = 0; j < off.rows; ++j) {
    for (int i = 0; i < off.cols; ++i) {
      if (reached.at<uchar>(j, i) || !like_paper(j, i)) continue;
      cells = border = lighter = 0;
      reached.at<uchar>(j, i) = 2;
      flood({{i, j}}, 2, cells, border, lighter);
      const bool paper = cells >= kLeastCells && lighter < 0.15 * border;
      reached.setTo(paper ? 1 : 3, reached == 2);
    }
  }
  reached.setTo(0, reached == 3);
  return reached;
}

bool HasGreyInk(const Plan& plan) {
  return plan.colours.empty() || std::any_of(plan.colours.begin(), plan.colours.end(), [](const std::string& hex) {
           if (hex.size() != 7) return true;
           int low = 255, high = 0;
           for (const std::size_t at : {1, 3, 5}) {
             const int code = std::stoi(hex.substr(at, 2), nullptr, 16);
             low = std::min(low, code), high = std::max(high, code);
           }
           return high - low < 60;
         });
}

}  // namespace truepull::detect
