// SPDX-License-Identifier: Apache-2.0
#include "detect/left_over.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "geometry/median.h"

namespace truepull::detect {
namespace {

constexpr double kPxPerMm = 0.5;       // A pull is 20 mm and more across.
constexpr double kGrowMm = 4;          // Halo, raggedness and the edge of a poor fit.
constexpr double kThinMm = 5;          // Pencil lines and tape edges are thinner.
constexpr double kLeastShare = 0.45;   // Of a plate's area: smaller is a smudge, or hangs off.
constexpr double kLeastDensity = 0.2;  // And 0.4 of what the sheet's own pulls have.
constexpr double kOwnDensity = 0.4, kOwnScore = 0.6;

}  // namespace

std::vector<LeftOverPull> FindLeftOver(const SheetMap& map, const OutlineScore& score, const std::vector<Pull>& pulls) {
  std::vector<double> densities, scores;
  for (const Pull& p : pulls) {
    if (!p.present) continue;
    scores.push_back(score.At(*p.shape, p.pose));
    const Point middle = map.px_per_mm * Apply(p.pose, Centroid(p.shape->outline));
    const int u = static_cast<int>(middle.x), v = static_cast<int>(middle.y);
    if (u >= 0 && v >= 0 && u < map.density.cols && v < map.density.rows) {
      densities.push_back(static_cast<double>(map.density.at<float>(v, u)));
    }
  }
  // An empty sheet shows nothing to compare with: there every patch would be a guess.
  if (scores.empty()) return {};
  const double usual_score = Median(scores), ink_density = std::max(kLeastDensity, kOwnDensity * Median(densities));
  cv::Mat small, ink;
  const double scale = kPxPerMm / map.px_per_mm;
  cv::resize(map.density, small, cv::Size(), scale, scale, cv::INTER_AREA);
  ink = small > ink_density;
  double area = 0;
  for (const Pull& p : pulls) {
    area = area == 0 ? p.shape->area : std::min(area, p.shape->area);
    if (!p.present) continue;
    std::vector<cv::Point> polygon;
    for (const Point& q : Apply(p.pose, p.shape->outline)) {
      polygon.emplace_back(cv::saturate_cast<int>(q.x * kPxPerMm), cv::saturate_cast<int>(q.y * kPxPerMm));
    }
    const std::vector<std::vector<cv::Point>> one{polygon};
    cv::fillPoly(ink, one, cv::Scalar(0));
    cv::polylines(ink, one, true, cv::Scalar(0), static_cast<int>(2 * kGrowMm * kPxPerMm));
  }
  // The sheet's own rim: table that shows past a torn side is no print.
  const int rim = static_cast<int>(3 * kPxPerMm) + 1;
  cv::rectangle(ink, {0, 0}, {ink.cols - 1, ink.rows - 1}, cv::Scalar(0), 2 * rim);
  const int thin = static_cast<int>(kThinMm * kPxPerMm) | 1;
  // A scratched drawing leaves gaps in a pull; a pencil line is no pull.
  cv::morphologyEx(ink, ink, cv::MORPH_CLOSE, cv::getStructuringElement(cv::MORPH_ELLIPSE, {3, 3}));
  cv::morphologyEx(ink, ink, cv::MORPH_OPEN, cv::getStructuringElement(cv::MORPH_ELLIPSE, {thin, thin}));
  cv::Mat labels, stats, middles;
  const int count = cv::connectedComponentsWithStats(ink, labels, stats, middles);
  std::vector<LeftOverPull> out;
  for (int k = 1; k < count; ++k) {
    const double share = stats.at<int>(k, cv::CC_STAT_AREA) / (kPxPerMm * kPxPerMm) / std::max(1.0, area);
    if (share < kLeastShare) continue;
    const Point middle{(middles.at<double>(k, 0) + 0.5) / kPxPerMm, (middles.at<double>(k, 1) + 0.5) / kPxPerMm};
    // Any of the plates, put down as the plan turns it.
    Candidate best{{middle, 0}, -1e9};
    std::vector<std::pair<const PlateShape*, double>> tried;
    for (const Pull& p : pulls) {
      const double turn = std::round(p.pose.turn_rad / 0.5) * 0.5;
      if (std::find(tried.begin(), tried.end(), std::pair(p.shape, turn)) != tried.end()) continue;
      tried.emplace_back(p.shape, turn);
      const Rotation r(p.pose.turn_rad);
      const Candidate c = score.Climb(*p.shape, {middle - r * Centroid(p.shape->outline), p.pose.turn_rad});
      if (c.score > best.score) best = c;
      if (tried.size() > 8) break;
    }
    const PlateShape& shape = *pulls.front().shape;
    if (best.score > kOwnScore * usual_score && score.HeartCoverage(shape, best.pose, ink_density) > 0.5) out.push_back({best.pose, share});
  }
  return out;
}

}  // namespace truepull::detect
