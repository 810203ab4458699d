// SPDX-License-Identifier: Apache-2.0
// Candidates for the sheet from light regions.
#include <algorithm>
#include <cmath>
#include <limits>
#include <opencv2/imgproc.hpp>

#include "photo/quad.h"

namespace truepull {

bool MeetingPoint(Point a, Point b, Point c, Point d, Point* at) {
  const Point u = b - a, v = d - c;
  const double cross = Cross(u, v);
  if (std::abs(cross) < 1e-9 * (1 + Norm(u) * Norm(v))) return false;
  *at = a + (Cross(c - a, v) / cross) * u;
  return true;
}

double QuadArea(const Quad& quad) { return SignedArea(quad); }

bool IsConvex(const Quad& quad) {
  for (std::size_t i = 0; i < 4; ++i) {
    const Point in = quad[i] - quad[Before(i)], out = quad[Next(i)] - quad[i];
    // A corner sharper than 11 or flatter than 169 degrees is no sheet's corner.
    if (Cross(in, out) < 0.2 * Norm(in) * Norm(out)) return false;
  }
  return true;
}

namespace {

// A sheet takes up at least this share of the picture; smaller light things are
// clutter. An A3 sheet of that share in a 12-megapixel photo has 2.6 px to the mm.
constexpr double kMinShare = 0.06;

// Drops the edge whose removal adds the least area, until four are left.
bool FourSides(std::vector<Point> hull, Quad* quad) {
  while (hull.size() > 4) {
    const std::size_t n = hull.size();
    double least = std::numeric_limits<double>::infinity();
    std::size_t drop = n;
    Point meeting;
    for (std::size_t i = 0; i < n; ++i) {
      const Point a = hull[(i + n - 1) % n], b = hull[i], c = hull[(i + 1) % n];
      const Point d = hull[(i + 2) % n];
      if (Cross(b - a, d - c) <= 0) continue;  // The neighbours do not meet outside.
      Point at;
      if (!MeetingPoint(a, b, c, d, &at)) continue;
      const double added = std::abs(Cross(at - b, c - b)) / 2;
      if (added < least) {
        least = added;
        drop = i;
        meeting = at;
      }
    }
    if (drop == n) return false;
    hull[drop] = meeting;
    hull.erase(hull.begin() + static_cast<std::ptrdiff_t>((drop + 1) % n));
  }
  if (hull.size() != 4) return false;
  for (std::size_t i = 0; i < 4; ++i) (*quad)[i] = hull[i];
  return true;
}

void AddRegions(const cv::Mat& mask, std::vector<Quad>* quads) {
  std::vector<std::vector<cv::Point>> contours;
  cv::findContours(mask, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_SIMPLE);
  const double least = kMinShare * mask.cols * mask.rows;
  for (const auto& contour : contours) {
    if (contour.size() < 4) continue;
    std::vector<cv::Point> hull, plain;
    cv::convexHull(contour, hull);
    if (cv::contourArea(hull) < least) continue;
    cv::approxPolyDP(hull, plain, 1.0, true);
    std::vector<Point> points;
    for (const cv::Point& p : plain) points.push_back({double(p.x), double(p.y)});
    if (points.size() < 4) continue;
    if (SignedArea(points) < 0) std::reverse(points.begin(), points.end());
    Quad quad;
    if (FourSides(points, &quad) && IsConvex(quad)) quads->push_back(quad);
  }
}

}  // namespace

std::vector<Quad> QuadsFromRegions(const cv::Mat& plane) {
  std::vector<Quad> quads;
  cv::Mat smooth, mask, opened;
  cv::blur(plane, smooth, {3, 3});
  std::array<int, 256> count{};
  for (int y = 0; y < smooth.rows; ++y) {
    for (int x = 0; x < smooth.cols; ++x) ++count[smooth.ptr(y)[x]];
  }
  const auto quantile = [&](double share) {
    double sum = 0;
    for (int v = 0; v < 256; ++v) {
      sum += count[static_cast<std::size_t>(v)];
      if (sum >= share * smooth.rows * smooth.cols) return v;
    }
    return 255;
  };
  const double low = quantile(0.05), high = quantile(0.97);
  constexpr int kLevels = 10;
  const cv::Mat small_kernel = cv::Mat::ones(3, 3, CV_8U), large_kernel = cv::Mat::ones(9, 9, CV_8U);
  for (int i = 0; i <= kLevels; ++i) {
    if (i < kLevels) {
      cv::threshold(smooth, mask, low + (high - low) * (i + 0.5) / kLevels, 255, cv::THRESH_BINARY);
    } else {
      cv::threshold(smooth, mask, 0, 255, cv::THRESH_BINARY | cv::THRESH_OTSU);
    }
    cv::erode(mask, opened, small_kernel);
    AddRegions(opened, &quads);
    // A wide opening parts the sheet from light things that touch it.
    if (i % 3 == 1 || i == kLevels) {
      cv::morphologyEx(mask, opened, cv::MORPH_OPEN, large_kernel);
      AddRegions(opened, &quads);
    }
  }
  return quads;
}

}  // namespace truepull
