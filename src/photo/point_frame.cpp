// SPDX-License-Identifier: Apache-2.0
#include "truepull/point_frame.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/calib3d.hpp>

#include "photo/camera_derivative.h"

namespace truepull {
namespace {

constexpr double kK1PriorSd = 0.05;    // As for the sheet's sides (photo/side_fit.h).
constexpr double kPointSdPx = 0.5;     // What a careful hand reads off an enlarged picture.
constexpr double kPriorWeight = 8;     // That guess counts as so many residuals.
constexpr double kGuessedFocal = 0.74; // x the longer side: a phone's main lens.
constexpr double kUnlikely = 4;        // Times the points' own sd.

using Matrix9 = Eigen::Matrix<double, 9, 9>;
using Vector9 = Eigen::Matrix<double, 9, 1>;

Error Bad(std::string message, std::string hint) { return {ErrorCode::kBadArgument, std::move(message), std::move(hint)}; }

// The linear solution, where the points allow one.
bool Begin(std::span<const GivenPoint> points, SheetCamera& camera) {
  std::vector<cv::Point2d> from, to;
  for (const GivenPoint& p : points) {
    from.emplace_back(p.sheet_mm.x, p.sheet_mm.y);
    to.emplace_back(p.photo_px.x, p.photo_px.y);
  }
  const cv::Mat h = cv::findHomography(from, to, 0);
  if (h.empty() || std::abs(h.at<double>(2, 2)) < 1e-12) return false;
  for (int i = 0; i < 9; ++i) camera.h[static_cast<std::size_t>(i)] = h.at<double>(i / 3, i % 3) / h.at<double>(2, 2);
  return std::all_of(camera.h.begin(), camera.h.end(), [](double v) { return std::isfinite(v); });
}

// Whether all points but one at most lie on a line: then no homography is theirs.
bool NearlyOnOneLine(std::span<const GivenPoint> points, Point GivenPoint::*which) {
  for (std::size_t a = 0; a < points.size(); ++a) {
    for (std::size_t b = a + 1; b < points.size(); ++b) {
      const Point p = points[a].*which, along = points[b].*which - p;
      std::size_t off = 0;
      for (const GivenPoint& g : points) {
        const Point away = g.*which - p;
        off += std::abs(Cross(along, away)) > 0.02 * Norm(along) * std::max(Norm(along), Norm(away));
      }
      if (off < 2) return true;
    }
  }
  return false;
}

}  // namespace

Result<PointFrame> FrameFromPoints(const Photo& photo, const Sheet& sheet, std::span<const GivenPoint> points) {
  if (points.size() < 4) {
    return Bad(fmt::format("--point: {} point{} given; four or more are needed", points.size(), points.size() == 1 ? " is" : "s are"),
               "give places that you can measure on the sheet, far apart and not on one line");
  }
  for (const auto which : {&GivenPoint::photo_px, &GivenPoint::sheet_mm}) {
    if (NearlyOnOneLine(points, which)) {
      return Bad(fmt::format("--point: all points but one lie on one line {}, so they do not fix the sheet", which == &GivenPoint::sheet_mm ? "of the sheet" : "in the photo"),
                 "give points towards all four corners");
    }
  }
  PointFrame out;
  SheetCamera& camera = out.frame.camera;
  camera.centre = {0.5 * (photo.bgr.cols - 1), 0.5 * (photo.bgr.rows - 1)};
  camera.focal_px = photo.focal_px > 0 ? photo.focal_px : kGuessedFocal * std::max(photo.bgr.cols, photo.bgr.rows);
  if (!Begin(points, camera)) return Bad("--point: no flat sheet shows its points so", "check the points' numbers, pixels first");

  Matrix9 information = Matrix9::Zero();
  double squares = 0;
  for (int round = 0; round < 50; ++round) {
    information.setZero();
    information(8, 8) = std::pow(kPointSdPx / kK1PriorSd, 2);
    Vector9 gradient = Vector9::Zero();
    gradient(8) = -information(8, 8) * camera.k1;
    squares = 0;
    for (const GivenPoint& p : points) {
      const Point miss = p.photo_px - camera.PhotoFromSheet(p.sheet_mm);
      const Eigen::Vector2d r(miss.x, miss.y);
      const Eigen::Matrix<double, 2, 9> d = PhotoByCamera(camera, p.sheet_mm);
      information += d.transpose() * d;
      gradient += d.transpose() * r;
      squares += r.squaredNorm();
    }
    // The numbers differ by orders of magnitude: scaled to a diagonal of ones.
    const Vector9 scale = information.diagonal().cwiseSqrt().cwiseInverse();
    const Matrix9 scaled = scale.asDiagonal() * information * scale.asDiagonal();
    const Vector9 step = scale.asDiagonal() * scaled.ldlt().solve(scale.asDiagonal() * gradient);
    for (std::size_t i = 0; i < 8; ++i) camera.h[i] += step(static_cast<Eigen::Index>(i));
    camera.k1 += step(8);
    if ((information.diagonal().cwiseSqrt().cwiseProduct(step)).norm() < 1e-7) break;
  }
  if (!std::isfinite(squares) || !std::isfinite(camera.k1)) return Bad("--point: no flat sheet shows its points so", "check the points' numbers, pixels first");

  const auto n = static_cast<double>(points.size());
  const double free = std::max(0.0, 2 * n - 8 - (points.size() > 4 ? 1 : 0));
  const double sd = std::sqrt((squares + kPriorWeight * kPointSdPx * kPointSdPx) / (free + kPriorWeight));
  // The prior's own weight does not shrink with the points'.
  information /= sd * sd;
  information(8, 8) += (1 - std::pow(kPointSdPx / sd, 2)) / (kK1PriorSd * kK1PriorSd);
  const Vector9 scale = information.diagonal().cwiseSqrt().cwiseInverse();
  const Matrix9 scaled = scale.asDiagonal() * information * scale.asDiagonal();
  const Matrix9 covariance = scale.asDiagonal() * scaled.inverse() * scale.asDiagonal();
  for (Eigen::Index i = 0; i < 9; ++i) {
    for (Eigen::Index k = 0; k < 9; ++k) out.frame.covariance[static_cast<std::size_t>(9 * i + k)] = covariance(i, k);
  }
  out.frame.rms_side_px = std::sqrt(squares / (2 * n));
  out.frame.corners_px = {camera.PhotoFromSheet({0, 0}), camera.PhotoFromSheet({sheet.width_mm, 0}),
                          camera.PhotoFromSheet({sheet.width_mm, sheet.height_mm}), camera.PhotoFromSheet({0, sheet.height_mm})};
  std::string list;
  for (std::size_t k = 0; k < points.size(); ++k) {
    const Point miss = points[k].photo_px - camera.PhotoFromSheet(points[k].sheet_mm);
    out.residual_px.push_back(miss);
    out.residual_mm.push_back(Norm(miss) / camera.PixelsPerMm(points[k].sheet_mm));
    list += fmt::format("{}{:.2f}", k == 0 ? "" : ", ", out.residual_mm[k]);
    // Against the others: with the point itself in, a wide sd would hide it.
    const double others = std::sqrt((std::max(0.0, squares - Dot(miss, miss)) + kPriorWeight * kPointSdPx * kPointSdPx) / (std::max(0.0, free - 2) + kPriorWeight));
    if (Norm(miss) > kUnlikely * others) {
      out.frame.findings.push_back(fmt::format("given point {} lies {:.2f} mm ({:.1f} px) off where the others put it: check its numbers", k + 1, out.residual_mm[k], Norm(miss)));
    }
  }
  out.frame.notes.push_back(fmt::format("the sheet's place comes from {} given points; they lie {} mm off their common fit", points.size(), list));
  if (points.size() == 4) out.frame.notes.push_back("four points fit whatever they are: a fifth would show a slip");
  return out;
}

Result<GivenPoint> ParseGivenPoint(const std::string& text) {
  double v[4];
  std::size_t at = 0;
  for (int i = 0; i < 4; ++i) {
    const std::size_t end = i == 3 ? text.size() : text.find(i == 1 ? '=' : ',', at);
    const std::string word = end == std::string::npos ? "" : text.substr(at, end - at);
    std::size_t used = 0;
    try {
      v[i] = word.find_first_not_of("+-.0123456789") == std::string::npos && !word.empty() ? std::stod(word, &used) : NAN;
    } catch (const std::exception&) {
      v[i] = NAN;
    }
    if (!std::isfinite(v[i]) || used != word.size()) {
      return Bad(fmt::format("--point '{}' is not a point", text), "write pixels of the upright photo, then mm of the sheet: --point \"812.5,640=30,24\"");
    }
    at = end + 1;
  }
  return GivenPoint{{v[0], v[1]}, {v[2], v[3]}};
}

}  // namespace truepull
