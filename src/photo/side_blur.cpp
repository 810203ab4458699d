// SPDX-License-Identifier: Apache-2.0
#include "photo/side_blur.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace truepull {
namespace {

constexpr double kReachMm = 5, kStepMm = 0.05;
constexpr int kPlaces = 80;          // To a side; the corners' tenths are left out.
constexpr double kFifths = 1.683;    // From F = 0.2 to 0.8 of a normal step, in sigma.

// Linear light, by the bilinear value of the code's power; green alone: it is the sharpest.
std::optional<double> Light(const cv::Mat& bgr, Point p) {
  const int x = static_cast<int>(std::floor(p.x)), y = static_cast<int>(std::floor(p.y));
  if (x < 0 || y < 0 || x + 1 >= bgr.cols || y + 1 >= bgr.rows) return std::nullopt;
  const double u = p.x - x, v = p.y - y;
  const auto at = [&](int i, int j) { return std::pow(bgr.at<cv::Vec3b>(j, i)[1] / 255.0, 2.2); };
  return (1 - v) * ((1 - u) * at(x, y) + u * at(x + 1, y)) + v * ((1 - u) * at(x, y + 1) + u * at(x + 1, y + 1));
}

// Width of the step across the side at one place; `inward` is a unit vector into the sheet.
std::optional<double> StepWidth(const Photo& photo, const SheetCamera& camera, Point at, Point inward) {
  std::vector<double> y;
  for (double t = -kReachMm; t <= kReachMm; t += kStepMm) {
    const auto light = Light(photo.bgr, camera.PhotoFromSheet(at + t * inward));
    if (!light) return std::nullopt;
    y.push_back(*light);
  }
  // Levels beyond 3 mm either way: what lies between is the step and its blur.
  const auto level = [&](std::size_t from, std::size_t to) {
    std::vector<double> part(y.begin() + static_cast<std::ptrdiff_t>(from), y.begin() + static_cast<std::ptrdiff_t>(to));
    std::nth_element(part.begin(), part.begin() + static_cast<std::ptrdiff_t>(part.size() / 2), part.end());
    return part[part.size() / 2];
  };
  const std::size_t edge = static_cast<std::size_t>(2 / kStepMm);
  const double table = level(0, edge), paper = level(y.size() - edge, y.size());
  if (paper - table < 0.12) return std::nullopt;
  // From the middle of the step outwards, so that specks further off do not count.
  const auto crossing = [&](double share, std::size_t from, int way) -> std::optional<double> {
    const double wanted = table + share * (paper - table);
    for (auto i = static_cast<std::ptrdiff_t>(from); i > 0 && i + 1 < static_cast<std::ptrdiff_t>(y.size()); i += way) {
      const double a = y[static_cast<std::size_t>(i)], b = y[static_cast<std::size_t>(i + way)];
      if ((a - wanted) * (b - wanted) <= 0 && a != b) return (static_cast<double>(i) + way * (wanted - a) / (b - a)) * kStepMm;
    }
    return std::nullopt;
  };
  std::size_t middle = 0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (std::abs(y[i] - (table + paper) / 2) < std::abs(y[middle] - (table + paper) / 2)) middle = i;
  }
  const auto low = crossing(0.2, middle, -1), high = crossing(0.8, middle, 1);
  if (!low || !high) return std::nullopt;
  return (*high - *low) / kFifths;
}

}  // namespace

double SideBlurMm(const Photo& photo, const SheetCamera& camera, const Sheet& sheet) {
  std::vector<double> widths;
  const double w = sheet.width_mm, h = sheet.height_mm;
  for (int k = 0; k < kPlaces; ++k) {
    const double share = 0.1 + 0.8 * k / (kPlaces - 1);
    for (const auto& [at, inward] : {std::pair(Point{share * w, 0}, Point{0, 1}), std::pair(Point{w, share * h}, Point{-1, 0}),
                                     std::pair(Point{share * w, h}, Point{0, -1}), std::pair(Point{0, share * h}, Point{1, 0})}) {
      if (const auto width = StepWidth(photo, camera, at, inward)) widths.push_back(*width);
    }
  }
  if (widths.size() < 40) return 0;
  const auto middle = widths.begin() + static_cast<std::ptrdiff_t>(widths.size() / 2);
  std::nth_element(widths.begin(), middle, widths.end());
  return *middle;
}

}  // namespace truepull
