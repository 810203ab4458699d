// SPDX-License-Identifier: Apache-2.0
#include "detect/region_outlines.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/marching.h"

namespace truepull::detect {
namespace {

constexpr uchar kNone = 255;
constexpr double kSmoothPx = 1.2;   // Evens out steps of a square; a band of four keeps its width.

Outline Thinned(const Outline& line, const TileGrid& grid, double tolerance_mm) {
  std::vector<cv::Point2f> px, few;
  for (const Point& p : line) px.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
  cv::approxPolyDP(px, few, tolerance_mm / grid.step_mm, true);
  Outline out;
  for (const cv::Point2f& p : few) out.push_back(grid.At(static_cast<double>(p.x), static_cast<double>(p.y)));
  return out;
}

bool ReachesRim(const cv::Mat& stats, int part, cv::Size size) {
  const int left = stats.at<int>(part, cv::CC_STAT_LEFT), top = stats.at<int>(part, cv::CC_STAT_TOP);
  return left <= 0 || top <= 0 || left + stats.at<int>(part, cv::CC_STAT_WIDTH) >= size.width ||
         top + stats.at<int>(part, cv::CC_STAT_HEIGHT) >= size.height;
}

// Traces each 4-connected part of value > 0 that does not reach the rim.
void TraceParts(const cv::Mat& value, bool holes, const TileGrid& grid, double tolerance_mm, double least_mm2, std::vector<Outline>& out) {
  cv::Mat labels, stats, middles;
  const cv::Mat inside = value > 0;
  const int parts = cv::connectedComponentsWithStats(inside, labels, stats, middles, 4);
  // Squares that touch by a corner are not joined, so what is outside gets through between them:
  // such a hole is none.
  cv::Mat open_labels, open_stats;
  if (holes) cv::connectedComponentsWithStats(inside, open_labels, open_stats, middles, 8);
  for (int k = 1; k < parts; ++k) {
    const int left = stats.at<int>(k, cv::CC_STAT_LEFT), top = stats.at<int>(k, cv::CC_STAT_TOP);
    if (stats.at<int>(k, cv::CC_STAT_AREA) * grid.step_mm * grid.step_mm < 0.5 * least_mm2) continue;
    int first = left;
    while (labels.at<int>(top, first) != k) ++first;
    if (holes && ReachesRim(open_stats, open_labels.at<int>(top, first), value.size())) continue;
    Outline line = Thinned(ZeroLine(value, {first, top}), grid, tolerance_mm);
    if (line.size() >= 3 && std::abs(SignedArea(line)) >= least_mm2) out.push_back(std::move(line));
  }
}

}  // namespace

std::vector<Outline> LoopsOf(const cv::Mat& field, const TileGrid& grid, double tolerance_mm, double least_mm2) {
  std::vector<Outline> out;
  TraceParts(field, false, grid, tolerance_mm, least_mm2, out);
  TraceParts(-field, true, grid, tolerance_mm, least_mm2, out);
  return out;
}

std::vector<cv::Mat> FieldsOf(const cv::Mat& labels, int count, const TileGrid& grid) {
  std::vector<cv::Mat> shares(static_cast<std::size_t>(count)), fields;
  for (int k = 0; k < count; ++k) {
    cv::Mat& share = shares[static_cast<std::size_t>(k)];
    cv::Mat(labels == k).convertTo(share, CV_32F, 1.0 / 255);
    cv::GaussianBlur(share, share, {5, 5}, kSmoothPx, kSmoothPx, cv::BORDER_CONSTANT);
  }
  for (std::size_t own = 0; own < shares.size(); ++own) {
    cv::Mat most(labels.size(), CV_32F, cv::Scalar(0));
    for (std::size_t k = 0; k < shares.size(); ++k) {
      if (k != own) most = cv::max(most, shares[k]);
    }
    cv::Mat field = shares[own] - most;
    for (int j = 0; j < field.rows; ++j) {
      for (int i = 0; i < field.cols; ++i) {
        float& f = field.at<float>(j, i);
        const float depth = grid.depth.at<float>(j, i) / static_cast<float>(grid.step_mm);
        // At the outline itself the outline is the border; beyond it there is nothing.
        if (depth <= 0) f = std::max(depth, -1.0F);
        else if (labels.at<uchar>(j, i) == kNone) f = -0.5F;
        else f = std::min(f, std::max(depth, 1e-3F));
      }
    }
    fields.push_back(field);
  }
  return fields;
}

cv::Mat MostAround(const cv::Mat& labels, int count) {
  cv::Mat out = labels.clone(), best(labels.size(), CV_8U, cv::Scalar(0)), votes;
  for (int k = 0; k < count; ++k) {
    const cv::Mat own = (labels == k) / 255;
    cv::boxFilter(own, votes, -1, {5, 5}, {-1, -1}, false, cv::BORDER_CONSTANT);
    for (int j = 0; j < out.rows; ++j) {
      for (int i = 0; i < out.cols; ++i) {
        uchar& l = out.at<uchar>(j, i);
        if (l == kNone || votes.at<uchar>(j, i) <= best.at<uchar>(j, i)) continue;
        best.at<uchar>(j, i) = votes.at<uchar>(j, i);
        l = static_cast<uchar>(k);
      }
    }
  }
  return out;
}

void DropSmallParts(cv::Mat& labels, int count, const TileGrid& grid, double least_mm2) {
  const int least = static_cast<int>(least_mm2 / (grid.step_mm * grid.step_mm));
  cv::Mat gone(labels.size(), CV_8U, cv::Scalar(0));
  for (int k = 0; k < count; ++k) {
    cv::Mat parts, stats, middles;
    const int n = cv::connectedComponentsWithStats(labels == k, parts, stats, middles, 4);
    for (int p = 1; p < n; ++p) {
      if (stats.at<int>(p, cv::CC_STAT_AREA) >= least) continue;
      const cv::Rect box(stats.at<int>(p, cv::CC_STAT_LEFT), stats.at<int>(p, cv::CC_STAT_TOP), stats.at<int>(p, cv::CC_STAT_WIDTH),
                         stats.at<int>(p, cv::CC_STAT_HEIGHT));
      gone(box).setTo(1, parts(box) == p);
    }
  }
  // From the rims inwards, each square takes what a kept neighbour has.
  std::vector<cv::Point> open;
  for (int j = 1; j + 1 < labels.rows; ++j) {
    for (int i = 1; i + 1 < labels.cols; ++i) {
      if (gone.at<uchar>(j, i)) open.emplace_back(i, j);
    }
  }
  static const cv::Point kAround[] = {{0, -1}, {1, 0}, {0, 1}, {-1, 0}};
  while (!open.empty()) {
    std::vector<std::pair<cv::Point, uchar>> filled;
    std::vector<cv::Point> left;
    for (const cv::Point& p : open) {
      uchar take = kNone;
      for (const cv::Point& d : kAround) {
        const cv::Point q = p + d;
        if (!gone.at<uchar>(q) && labels.at<uchar>(q) != kNone) take = labels.at<uchar>(q);
      }
      if (take == kNone) left.push_back(p);
      else filled.emplace_back(p, take);
    }
    if (filled.empty()) break;   // Nothing kept anywhere near: it stays what it is.
    for (const auto& [p, take] : filled) labels.at<uchar>(p) = take, gone.at<uchar>(p) = 0;
    open = std::move(left);
  }
}

}  // namespace truepull::detect
