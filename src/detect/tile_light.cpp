// SPDX-License-Identifier: Apache-2.0
#include "detect/tile_light.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace truepull::detect {
namespace {

constexpr float kLeastLight = 0.004F, kMostLight = 1.1F;

// Bilinear in the map; the caller keeps inside it.
cv::Vec3f MapAt(const cv::Mat& map, double u, double v) {
  const int i = static_cast<int>(u), j = static_cast<int>(v);
  const auto a = static_cast<float>(u - i), b = static_cast<float>(v - j);
  const auto* p = map.ptr<cv::Vec3f>(j) + i;
  const auto* q = map.ptr<cv::Vec3f>(j + 1) + i;
  cv::Vec3f out;
  for (int c = 0; c < 3; ++c) {
    const float top = p[0][c] + a * (p[1][c] - p[0][c]), bottom = q[0][c] + a * (q[1][c] - q[0][c]);
    out[c] = std::clamp(top + b * (bottom - top), kLeastLight, kMostLight);
  }
  return out;
}

}  // namespace

float DensityOf(const cv::Vec3f& light) { return -std::log(std::min(1.0F, (light[0] + light[1] + light[2]) / 3)); }

TileGrid GridOf(const PlateShape& shape, double step_mm) {
  TileGrid grid;
  grid.step_mm = step_mm;
  const Box box = BoundingBox(shape.outline);
  grid.corner = {box.left - 1.5 * step_mm, box.top - 1.5 * step_mm};
  grid.columns = static_cast<int>(std::ceil(box.Width() / step_mm)) + 4;
  grid.rows = static_cast<int>(std::ceil(box.Height() / step_mm)) + 4;
  grid.depth.create(grid.rows, grid.columns, CV_32F);
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) grid.depth.at<float>(j, i) = shape.distance.At(grid.At(i, j));
  }
  return grid;
}

TileLight LightOf(const TileGrid& grid, const SheetMap& map, const std::vector<Pull>& pulls, std::size_t which) {
  const Pull& pull = pulls[which];
  std::vector<std::size_t> near;
  for (std::size_t m = 0; m < pulls.size(); ++m) {
    if (m != which && pulls[m].present && Norm(pulls[m].pose.at - pull.pose.at) < pull.shape->radius + pulls[m].shape->radius) {
      near.push_back(m);
    }
  }
  // A neighbour reaches in by a few mm; deeper places need no look.
  constexpr float kDeepest = 8;
  struct Way {
    Rotation turn;
    Point from;
  };
  std::vector<Way> into;
  for (const std::size_t m : near) into.push_back({Rotation(-pulls[m].pose.turn_rad), pulls[m].pose.at});
  TileLight out;
  out.light = cv::Mat(grid.rows, grid.columns, CV_32FC3, cv::Scalar::all(1));
  out.use = cv::Mat(grid.rows, grid.columns, CV_8U, cv::Scalar(0));
  const Rotation turn(pull.pose.turn_rad);
  const double per_mm = map.px_per_mm;
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      const float depth = grid.depth.at<float>(j, i);
      if (!(depth > 0)) continue;
      const Point at = pull.pose.at + turn * grid.At(i, j);
      const double u = at.x * per_mm - 0.5, v = at.y * per_mm - 0.5;
      if (!(u >= 0 && v >= 0 && u < map.light.cols - 1 && v < map.light.rows - 1)) continue;
      out.light.at<cv::Vec3f>(j, i) = MapAt(map.light, u, v);
      bool over = false;
      if (depth < kDeepest) {
        for (std::size_t m = 0; m < near.size() && !over; ++m) {
          const Point from = at - into[m].from;
          const double reach = pulls[near[m]].shape->radius;
          over = Dot(from, from) < reach * reach && pulls[near[m]].shape->distance.At(into[m].turn * from) > 0;
        }
      }
      out.use.at<uchar>(j, i) = over ? 2 : 1;
    }
  }
  // Mean over what may be used: sums of light and of squares.
  cv::Mat inside, weight, weight3, kept;
  inside = (out.use == 1) / 255;
  inside.convertTo(weight, CV_32F);
  cv::merge(std::vector<cv::Mat>{weight, weight, weight}, weight3);
  kept = out.light.mul(weight3);
  cv::boxFilter(kept, kept, -1, {3, 3}, {-1, -1}, false, cv::BORDER_CONSTANT);
  cv::boxFilter(weight, weight, -1, {3, 3}, {-1, -1}, false, cv::BORDER_CONSTANT);
  out.smooth = out.light.clone();
  for (int j = 0; j < grid.rows; ++j) {
    for (int i = 0; i < grid.columns; ++i) {
      if (out.use.at<uchar>(j, i) == 1) out.smooth.at<cv::Vec3f>(j, i) = kept.at<cv::Vec3f>(j, i) * (1 / weight.at<float>(j, i));
    }
  }
  return out;
}

}  // namespace truepull::detect
