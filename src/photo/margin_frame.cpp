// SPDX-License-Identifier: Apache-2.0
#include "truepull/margin_frame.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "photo/camera_derivative.h"
#include "photo/cross_finder.h"
#include "truepull/marker_cards.h"

namespace truepull {
namespace {

constexpr double kMarkPlaceSdMm = 0.1;   // A stroke drawn along a stencil's edge; not measured.
constexpr double kFourthCornerSdMm = 1;  // What a sheet that is out of square leaves open.
constexpr double kOutOfSquareMm = 2;     // Torn sheets are within it; beyond, a mark is likelier wrong.
constexpr double kLooseK1 = 2;           // Times the spread that the edges leave to the lens.
constexpr double kRing = 0.45;           // Times the arms' darkness; without a ring it is 0 +- 0.1.
constexpr const char* kCorner[] = {"top left", "top right", "bottom right", "bottom left"};

using Matrix9 = Eigen::Matrix<double, 9, 9>;
using Vector9 = Eigen::Matrix<double, 9, 1>;

struct Seen {
  Point sheet_mm, photo_px;
  double sd_px = 0;
};

// Gauss-Newton on places in the photo; k1 about `k1`.
void Fit(std::span<const Seen> places, double k1, double sd_k1, SheetFrame& frame) {
  SheetCamera& camera = frame.camera;
  Matrix9 information;
  for (int round = 0; round < 50; ++round) {
    information.setZero();
    information(8, 8) = 1 / (sd_k1 * sd_k1);
    Vector9 gradient = Vector9::Zero();
    gradient(8) = information(8, 8) * (k1 - camera.k1);
    for (const Seen& p : places) {
      const Point miss = p.photo_px - camera.PhotoFromSheet(p.sheet_mm);
      const Eigen::Matrix<double, 2, 9> d = PhotoByCamera(camera, p.sheet_mm);
      information += d.transpose() * d / (p.sd_px * p.sd_px);
      gradient += d.transpose() * Eigen::Vector2d(miss.x, miss.y) / (p.sd_px * p.sd_px);
    }
    // The numbers differ by orders of magnitude: scaled to a diagonal of ones.
    const Vector9 scale = information.diagonal().cwiseSqrt().cwiseInverse();
    const Matrix9 scaled = scale.asDiagonal() * information * scale.asDiagonal();
    const Vector9 step = scale.asDiagonal() * scaled.ldlt().solve(scale.asDiagonal() * gradient);
    for (std::size_t i = 0; i < 8; ++i) camera.h[i] += step(static_cast<Eigen::Index>(i));
    camera.k1 += step(8);
    if (information.diagonal().cwiseSqrt().cwiseProduct(step).norm() < 1e-7) break;
  }
  const Vector9 scale = information.diagonal().cwiseSqrt().cwiseInverse();
  const Matrix9 scaled = scale.asDiagonal() * information * scale.asDiagonal();
  const Matrix9 covariance = scale.asDiagonal() * scaled.inverse() * scale.asDiagonal();
  for (Eigen::Index i = 0; i < 9; ++i) {
    for (Eigen::Index k = 0; k < 9; ++k) frame.covariance[static_cast<std::size_t>(9 * i + k)] = covariance(i, k);
  }
}

// Crosses near the four places, by the rough frame's own corners.
using Crosses = std::array<std::optional<FoundCross>, 4>;

double NotClosed(const Crosses& c, const std::array<Point, 4>& places) {
  Point open;
  for (std::size_t i = 0; i < 4; ++i) {
    if (!c[i]) return 0;
    const Point away = c[i]->rough_mm - places[i];
    open = i % 2 == 0 ? open + away : open - away;
  }
  return Norm(open);
}

// Of crosses that are nearly as good as another, those that fit the other corners: what marks are off
// by a sheet's misleading edges is nearly a parallelogram.
Crosses Choose(const std::array<std::vector<FoundCross>, 4>& all, const std::array<Point, 4>& places) {
  Crosses best;
  double least = 1e9;
  for (unsigned pick = 0; pick < 16; ++pick) {
    Crosses some;
    bool there = true;
    for (std::size_t i = 0; i < 4; ++i) {
      const std::size_t which = (pick >> i) & 1;
      if (which < all[i].size()) some[i] = all[i][which];
      else there = there && which == 0;
    }
    const double open = NotClosed(some, places);
    if (there && open < least - 1e-9) least = open, best = some;
  }
  return best;
}

// Index of the one mark with a ring; -1 when none or several seem to have one.
int RingedOf(const Crosses& crosses) {
  int ringed = -1, rings = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    if (crosses[i] && crosses[i]->ring > kRing) ringed = static_cast<int>(i), ++rings;
  }
  return rings == 1 ? ringed : -1;
}

// The rough homography with the sheet's corner `top_left` as its first.
std::array<double, 9> Turned(const SheetCamera& rough, const Sheet& sheet, std::size_t top_left) {
  const double w = sheet.width_mm, h = sheet.height_mm;
  const std::array<Point, 4> corner{Point{0, 0}, {w, 0}, {w, h}, {0, h}};
  std::array<Point, 4> to;
  for (std::size_t i = 0; i < 4; ++i) to[i] = ApplyHomography(rough.h, corner[(i + top_left) % 4]);
  return HomographyFromFour(corner, to);
}

std::string Joined(const std::vector<std::string>& words) { return fmt::format("{}", fmt::join(words, ", ")); }

}  // namespace

Result<MarginFrame> FrameFromMargin(const Photo& photo, const Sheet& sheet, const SheetFrame& rough) {
  const std::array<Point, 4> places = MarginMarks(sheet.width_mm, sheet.height_mm);
  cv::Mat grey;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  std::array<std::vector<FoundCross>, 4> all;
  for (std::size_t i = 0; i < 4; ++i) all[i] = FindCrosses(grey, rough.camera, places[i]);
  const Crosses by_rough = Choose(all, places);

  MarginFrame out;
  out.frame = rough;
  const int ringed = RingedOf(by_rough);
  out.way_up_known = ringed >= 0;
  const bool square = std::abs(sheet.width_mm - sheet.height_mm) < 0.02 * sheet.width_mm;
  if (ringed % 2 == 1 && !square) {
    return Error{ErrorCode::kSheetNotFound,
                 fmt::format("{}: the mark with the ring is at the {} corner of the sheet as it lies, which no turn of a sheet of {:.0f} x {:.0f} mm brings to the top left",
                             photo.name, kCorner[ringed], sheet.width_mm, sheet.height_mm),
                 "check the plan's width and height, and that the photo is not mirrored; or read without --marks"};
  }
  const std::size_t top_left = ringed > 0 ? static_cast<std::size_t>(ringed) : 0;
  Crosses crosses;
  for (std::size_t i = 0; i < 4; ++i) crosses[i] = by_rough[(i + top_left) % 4];

  std::vector<std::string> lost, off;
  std::vector<std::size_t> found;
  std::array<Point, 4> away{};   // Found minus planned, in the rough frame as it lies.
  for (std::size_t i = 0; i < 4; ++i) {
    const std::size_t k = (i + top_left) % 4;
    if (!crosses[i]) {
      lost.push_back(kCorner[i]);
      continue;
    }
    found.push_back(i);
    out.seen[i] = true;
    away[i] = crosses[i]->rough_mm - places[k];
    out.off_mm[i] = Norm(away[i]);
    off.push_back(fmt::format("{} {:.1f}", kCorner[i], out.off_mm[i]));
    if (all[k].size() > 1) out.frame.findings.push_back(fmt::format("two crosses are near the {} corner: the one that fits the other marks was taken", kCorner[i]));
  }
  if (found.size() < 3) {
    return Error{ErrorCode::kSheetNotFound,
                 fmt::format("{}: only {} of the sheet's 4 margin marks {} seen; missing: {}", photo.name, found.size(), found.size() == 1 ? "is" : "are", Joined(lost)),
                 "photograph the sheet with all its corners uncovered, or read without --marks"};
  }

  out.frame.camera.h = Turned(rough.camera, sheet, top_left);
  const SheetCamera start = out.frame.camera;
  std::vector<Seen> seen;
  for (const std::size_t i : found) {
    seen.push_back({places[i], crosses[i]->photo_px, std::hypot(crosses[i]->sd_px, kMarkPlaceSdMm * start.PixelsPerMm(places[i]))});
  }
  if (found.size() == 3) {
    // The three carry their corner with them: parallelogram of what they are off.
    std::size_t gone = 0;
    while (out.seen[gone]) ++gone;
    const std::size_t k = (gone + top_left) % 4;
    const Point guess = places[k] + away[(gone + 1) % 4] - away[(gone + 2) % 4] + away[(gone + 3) % 4];
    seen.push_back({places[gone], rough.camera.PhotoFromSheet(guess), kFourthCornerSdMm * start.PixelsPerMm(places[gone])});
    out.frame.findings.push_back(fmt::format("the margin mark at the {} corner was not seen: that corner goes by the three others, to 1 mm", kCorner[gone]));
  } else {
    const Point open = away[0] - away[1] + away[2] - away[3];
    if (Norm(open) > kOutOfSquareMm) {
      const auto worst = static_cast<std::size_t>(std::max_element(out.off_mm.begin(), out.off_mm.end()) - out.off_mm.begin());
      out.frame.findings.push_back(fmt::format("the margin marks do not fit the sheet's edges by {:.1f} mm: a mark is not where it should be (most likely {}), or the sheet is out of square; "
                                               "measure from mark to mark", Norm(open), kCorner[worst]));
    }
  }
  const double sd_k1 = std::max(1e-6, kLooseK1 * std::sqrt(std::max(0.0, rough.covariance[80])));
  Fit(seen, rough.camera.k1, sd_k1, out.frame);
  const SheetCamera& camera = out.frame.camera;
  if (!std::isfinite(camera.k1)) return Error{ErrorCode::kSheetNotFound, photo.name + ": no flat sheet shows its margin marks so", "read without --marks"};
  double squares = 0;
  for (const std::size_t i : found) {
    const Point miss = crosses[i]->photo_px - camera.PhotoFromSheet(places[i]);
    squares += Dot(miss, miss);
  }
  out.frame.rms_side_px = std::sqrt(squares / (2 * static_cast<double>(found.size())));
  const double w = sheet.width_mm, h = sheet.height_mm;
  out.frame.corners_px = {camera.PhotoFromSheet({0, 0}), camera.PhotoFromSheet({w, 0}), camera.PhotoFromSheet({w, h}), camera.PhotoFromSheet({0, h})};
  out.frame.notes.push_back(fmt::format("the sheet's place comes from {} margin marks; by its edges they would lie off by (mm): {}", found.size(), Joined(off)));
  if (!out.way_up_known) out.frame.notes.push_back("no ring round one of the margin marks was seen: which way up the sheet lies is as without marks");
  else if (top_left != 0) out.frame.notes.push_back("the ring says that the sheet lies turned in the photo");
  return out;
}

}  // namespace truepull
