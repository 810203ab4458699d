// SPDX-License-Identifier: Apache-2.0
#include "placement/neighbour_fit.h"

#include <Eigen/Dense>
#include <algorithm>
#include <limits>
#include <vector>

namespace truepull {
namespace {

// Two tiles share an edge when their middles are at most this far apart, in shares of
// the nearest middle. Square lattices have their corner neighbours at 1.41, rectangles
// up to 3 : 2 their second edge neighbours at 1.5.
constexpr double kNeighbourReach = 1.6;
// A seam is looked at by eye: 0.1 mm of mismatch costs nothing more. It keeps one very
// certain neighbour from outvoting three good ones.
constexpr double kSeamFloorMm = 0.1;
// Least spread of a hand, so that a very even sheet does not forbid any move.
constexpr double kLeastHandMm = 0.05;
constexpr double kLeastHandRad = 0.001;

// The pose that the sheet's own part gives to an ideal one.
Pose OnTheSheet(const DriftReport& report, const Pose& ideal) {
  if (!report.sheet_part) return ideal;
  return {ApplySheetPart(*report.sheet_part, ideal.at),
          WrapTurn(ideal.turn_rad + report.sheet_part->turn_rad)};
}

}  // namespace

Pose FitToNeighbours(const Plan& plan, const DriftReport& report, std::size_t index) {
  const SiteDrift& missing = report.sites[index];
  const Pose start = OnTheSheet(report, missing.ideal);
  const auto middle = [&](const SiteDrift& s) {
    return Apply(OnTheSheet(report, s.ideal), Centroid(OutlineAt(plan, s.site)));
  };
  const Point here = middle(missing);

  std::vector<Point> middles(report.sites.size());
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    middles[i] = middle(report.sites[i]);
    if (i != index) nearest = std::min(nearest, Norm(middles[i] - here));
  }

  // Unknowns: shift of the middle and turn about it. The prior is the hand's spread.
  const double hand = std::max(report.hand_sd_mm, kLeastHandMm);
  const double hand_turn = std::max(report.hand_sd_turn_rad, kLeastHandRad);
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  normal.diagonal() << 1 / (hand * hand), 1 / (hand * hand), 1 / (hand_turn * hand_turn);
  Eigen::Vector3d right = Eigen::Vector3d::Zero();

  for (std::size_t i = 0; i < report.sites.size(); ++i) {
    const SiteDrift& s = report.sites[i];
    if (i == index || s.state == SiteState::kMissing) continue;
    if (Norm(middles[i] - here) > kNeighbourReach * nearest) continue;
    const Point seam = 0.5 * (middles[i] + here);
    // Where the neighbour, moved as it was found, carries the middle of the seam.
    const Pose base = OnTheSheet(report, s.ideal);
    const Point carried = Apply(s.found, ApplyInverse(base, seam));
    const Point pull = carried - seam;
    const Point arm = seam - here;
    const Point lever = seam - s.found.at;
    const double turn_variance = s.covariance[8];
    const double floor = kSeamFloorMm * kSeamFloorMm;
    const double weight_x = 1 / (s.covariance[0] + turn_variance * lever.y * lever.y + floor);
    const double weight_y = 1 / (s.covariance[4] + turn_variance * lever.x * lever.x + floor);
    // A turn of w about the middle moves the seam by w (-arm.y, arm.x).
    const Eigen::Vector3d row_x(1, 0, -arm.y);
    const Eigen::Vector3d row_y(0, 1, arm.x);
    normal += weight_x * row_x * row_x.transpose() + weight_y * row_y * row_y.transpose();
    right += weight_x * pull.x * row_x + weight_y * pull.y * row_y;
  }
  const Eigen::Vector3d move = normal.ldlt().solve(right);

  const Point c = Centroid(OutlineAt(plan, missing.site));
  Pose place{{}, WrapTurn(start.turn_rad + move[2])};
  place.at = here + Point{move[0], move[1]} - Rotation(place.turn_rad) * c;
  return place;
}

}  // namespace truepull
