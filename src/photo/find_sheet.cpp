// SPDX-License-Identifier: Apache-2.0
// Finds the sheet: coarse search, tracing in the full photo, joint fit, which way round.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

#include "photo/quarter_turn.h"
#include "photo/sheet_search.h"
#include "photo/sheet_verdict.h"
#include "photo/side_fit.h"
#include "photo/side_trace.h"
#include "truepull/photo.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr int kSmallPx = 800;            // Longer side of the picture searched.
constexpr int kLeastPhotoPx = 160;       // Below it not even a coarse search makes sense.
constexpr double kDarkLevel = 30;        // 8-bit L of the lightest parts.
constexpr double kTornMm = 0.15, kTornFoundMm = 0.5;  // Cut sides wander by 0.02, bowed by cockles by 0.2.
constexpr double kFocalShare = 0.74;     // Of the longer side: a phone's main camera.
constexpr double kRefusedPxPerMm = 1.0;
// Share of a side that must show the sheet's edge.
constexpr double kLeastTraced = 0.35;

// Phones keep |k1| within 0.05; beyond, a second term is needed, whose size goes with the
// square of the first (an evenly spaced field, r' = atan r: k1 = -1/3, k2 = 1/5).
constexpr double kWideK1 = 0.07, kSecondTerm = 2, kWideLens = -0.2;

constexpr const char* kHint =
    "photograph the whole sheet with a darker table showing on every side (docs/photo.md)";

Error NotFound(const Photo& photo, const std::string& what) {
  return {ErrorCode::kSheetNotFound, photo.name + ": " + what, kHint};
}

// What is missing, in words: "the bottom edge is cut off".
Error SidesMissing(const Photo& photo, const SoughtSheet& sought) {
  const auto names = SideNames(sought.seen.quad);
  std::string what;
  int found = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    const SeenSide& side = sought.seen.sides[i];
    const bool cut = side.outside > 0.5;
    if (!cut && side.support >= kLeastCoarse) {
      ++found;
      continue;
    }
    if (!what.empty()) what += ", ";
    what += fmt::format("the {} edge {}", names[i], cut ? "is cut off" : "does not stand out from the table");
  }
  if (what.empty()) return NotFound(photo, "found four edges, but cannot be sure that they are one sheet's");
  return NotFound(photo, fmt::format("found {} of the 4 sheet edges; {}", found, what));
}

// Covariance of h0..h7, k1 from that of the corners and k1.
void CarryCovariance(const SideFit& fit, const std::array<Point, 4>& sheet, const Quad& corners, std::size_t top_left, SheetFrame* frame) {
  Eigen::Matrix<double, 9, kSideUnknowns> j = Eigen::Matrix<double, 9, kSideUnknowns>::Zero();
  for (std::size_t k = 0; k < 8; ++k) {
    Quad plus = corners, minus = corners;
    double& up = k % 2 == 0 ? plus[k / 2].x : plus[k / 2].y;
    double& down = k % 2 == 0 ? minus[k / 2].x : minus[k / 2].y;
    constexpr double kNudgePx = 1e-2;  // Central differences: error of order 1e-9 relative.
    up += kNudgePx;
    down -= kNudgePx;
    const auto a = HomographyFromFour(sheet, plus), b = HomographyFromFour(sheet, minus);
    // corners[c] is the fit's corner top_left + c.
    const std::size_t unknown = 2 * ((top_left + k / 2) % 4) + k % 2;
    for (std::size_t r = 0; r < 8; ++r) {
      j(Eigen::Index(r), Eigen::Index(unknown)) = (a[r] - b[r]) / (2 * kNudgePx);
    }
  }
  j(8, 8) = 1;
  // The frame's covariance has no place for k2: what it adds at the sides is told as k1's.
  double square = 0;
  for (const Point& corner : fit.corners) square += Dot(corner - fit.centre, corner - fit.centre) / 4;
  j(8, 9) = square / (fit.focal_px * fit.focal_px);
  const Eigen::Map<const Eigen::Matrix<double, kSideUnknowns, kSideUnknowns, Eigen::RowMajor>> c(
      fit.covariance.data());
  Eigen::Map<Eigen::Matrix<double, 9, 9, Eigen::RowMajor>>(frame->covariance.data()) = j * c * j.transpose();
}

Result<SheetFrame> Find(const Photo& photo, const Sheet& sheet) {
  const cv::Mat& bgr = photo.bgr;
  if (bgr.empty() || bgr.type() != CV_8UC3) {
    return Error{ErrorCode::kPhotoUnusable, photo.name + ": the photo holds no picture", "take the photo anew"};
  }
  const int longer = std::max(bgr.cols, bgr.rows);
  if (longer < kLeastPhotoPx || std::min(bgr.cols, bgr.rows) < kLeastPhotoPx / 2) {
    return Error{ErrorCode::kPhotoUnusable,
                 fmt::format("{}: {} x {} pixels are too few to find a sheet in", photo.name, bgr.cols, bgr.rows),
                 "use the photo as the camera took it, not a reduced copy (docs/photo.md)"};
  }
  const SmallPicture small = MakeSmallPicture(bgr, kSmallPx);
  cv::Mat light;
  cv::extractChannel(small.lab, light, 0);
  std::array<int, 256> count{};
  for (int y = 0; y < light.rows; ++y) {
    for (int x = 0; x < light.cols; ++x) ++count[light.ptr(y)[x]];
  }
  int brightest = 255;
  for (double sum = 0; brightest > 0; --brightest) {
    sum += count[static_cast<std::size_t>(brightest)];
    if (sum > 0.02 * light.rows * light.cols) break;
  }
  if (brightest < kDarkLevel) {
    return Error{ErrorCode::kPhotoUnusable,
                 fmt::format("{}: the photo is too dark; even its lightest parts have only {} % of full lightness",
                             photo.name, std::lround(brightest / 2.55)),
                 "photograph the sheet in daylight (docs/photo.md)"};
  }

  const Point centre{0.5 * (bgr.cols - 1), 0.5 * (bgr.rows - 1)};
  const double focal = photo.focal_px > 0 ? photo.focal_px : kFocalShare * longer;
  SearchOptions options;
  options.centre = centre;
  options.focal_px = focal;
  options.focal_known = photo.focal_px > 0;
  SheetSearch search = SearchSheet(small, sheet, options);
  if (!Whole(search.sheet)) {
    // A wide lens bows the sides beyond the reach of a search for straight ones.
    options.lens_k1 = kWideLens;
    SheetSearch bowed = SearchSheet(small, sheet, options);
    if (Whole(bowed.sheet) && IsBeyondDoubt(*bowed.sheet) && bowed.sheet->fit.k1 < -kWideK1) search = std::move(bowed);
    options.lens_k1 = 0;
  }
  bool torn = false;
  if (!Whole(search.sheet) && !(search.cut_off && IsPaper(search.cut_off->seen))) {
    options.torn = true;
    SheetSearch rough = SearchSheet(small, sheet, options);
    if (Whole(rough.sheet) && IsBeyondDoubt(*rough.sheet) && IsPaper(rough.sheet->seen)) search = std::move(rough), torn = true;
    options.torn = false;
  }
  bool dark_sheet = false;
  if (!Whole(search.sheet) && !(search.cut_off && IsPaper(search.cut_off->seen))) {
    // No light sheet: a toned one on a lighter table? A print's block on a sheet that fills
    // the picture looks much the same, so this one must show its sides all the way.
    options.dark_sheet = true;
    SheetSearch dark = SearchSheet(small, sheet, options);
    if (Whole(dark.sheet) && IsBeyondDoubt(*dark.sheet)) {
      search = std::move(dark);
      dark_sheet = true;
    }
  }
  if (!Whole(search.sheet)) {
    if (search.cut_off && IsPaper(search.cut_off->seen)) return SidesMissing(photo, *search.cut_off);
    if (search.sheet && IsPaper(search.sheet->seen)) return SidesMissing(photo, *search.sheet);
    return NotFound(photo, "found no sheet of paper in the photo");
  }

  if (IsPartOfCutSheet(search)) return SidesMissing(photo, *search.cut_off);

  // Twice through the full photo: wide and sparse to learn the place and the blur, then
  // narrow and dense.
  SideFit fit = search.sheet->fit;
  TraceOptions wide;
  wide.dark_sheet = dark_sheet;
  wide.places = 120;
  wide.reach_px = (torn ? 6 : 1.3) * small.factor + 5;
  TracedSides traced = TraceSides(bgr, fit, wide);
  if (traced.points.size() < 120) return SidesMissing(photo, *search.sheet);
  fit = FitSides(traced.points, fit, {});
  SideFitOptions lens;
  if (std::abs(fit.k1) > kWideK1) {
    lens.fit_k2 = true;
    lens.k1_prior_sd = 0.3;
    lens.k2_prior_sd = kSecondTerm * fit.k1 * fit.k1;
    fit = FitSides(traced.points, fit, lens);
  }
  TraceOptions narrow = wide;
  narrow.places = TraceOptions{}.places;
  narrow.reach_px = torn ? wide.reach_px : 5;
  narrow.blur_px = traced.blur_px;
  traced = TraceSides(bgr, fit, narrow);
  if (traced.points.size() < 200) return SidesMissing(photo, *search.sheet);
  fit = FitSides(traced.points, fit, lens);
  if (!IsConvex(fit.corners)) return SidesMissing(photo, *search.sheet);
  EstimateCovariance(traced.points, lens, &fit);

  SheetFrame frame;
  frame.findings = Doubts(search);
  std::array<double, 4> held{};
  for (std::size_t i = 0; i < traced.points.size(); ++i) {
    held[traced.points[i].side] += fit.weights[i] > 0 ? 1.0 / narrow.places : 0;
  }
  const auto names = SideNames(fit.corners);
  for (std::size_t s = 0; s < 4; ++s) {
    if (held[s] < kLeastTraced) {
      // A side that cannot be followed is often the print's, where the sheet's is cut off.
      if (search.cut_off && IsPaper(search.cut_off->seen)) return SidesMissing(photo, *search.cut_off);
      return NotFound(photo, fmt::format("the {} edge of the sheet can be followed over only {} % of its length",
                                         names[s], std::lround(100 * held[s])));
    }
    if (held[s] < 0.6) {
      frame.findings.push_back(fmt::format("the {} edge of the sheet is seen over only {} % of its length",
                                           names[s], std::lround(100 * held[s])));
    }
  }

  const SheetTurn turn = ChooseTurn(fit.corners, centre, focal, sheet.width_mm, sheet.height_mm);
  Quad corners;
  for (std::size_t i = 0; i < 4; ++i) corners[i] = fit.corners[(turn.top_left + i) % 4];
  const std::array<Point, 4> on_sheet{Point{0, 0}, Point{sheet.width_mm, 0},
                                      Point{sheet.width_mm, sheet.height_mm}, Point{0, sheet.height_mm}};
  frame.camera.h = HomographyFromFour(on_sheet, corners);
  frame.camera.k1 = fit.k1;
  frame.camera.k2 = fit.k2;
  frame.camera.centre = centre;
  frame.camera.focal_px = focal;
  for (std::size_t i = 0; i < 4; ++i) frame.corners_px[i] = frame.camera.PhotoFromSheet(on_sheet[i]);
  frame.rms_side_px = fit.rms_px;
  frame.sd_wave_mm = fit.wave_px / frame.camera.PixelsPerMm({0.5 * sheet.width_mm, 0.5 * sheet.height_mm});
  CarryCovariance(fit, on_sheet, corners, turn.top_left, &frame);

  if (const double wander = fit.rms_px / frame.camera.PixelsPerMm({0.5 * sheet.width_mm, 0.5 * sheet.height_mm}); torn || wander > kTornMm) {
    const std::string words = fmt::format("the sheet's edges are torn or ragged: they wander by +- {:.1f} mm about straight lines, and every place is the less sure; "
                                          "two crosses and a ruler do better (--point, docs/photo.md)", wander);
    (wander > kTornFoundMm ? frame.findings : frame.notes).push_back(words);
  }
  if (turn.on_its_side) {
    frame.findings.push_back(fmt::format(
        "{} (its sides' ratio says so): its top was taken to be on the {}", kGuessedTop, turn.roll_rad > 0 ? "right" : "left"));
  }
  const double contradiction = RatioContradiction(corners, centre, focal, longer, photo.focal_px > 0,
                                                  sheet.width_mm / sheet.height_mm);
  if (std::abs(contradiction) > kOddRatio) {
    frame.findings.push_back(fmt::format(
        "the sheet looks {:.2f} times as wide as high, the plan says {:.2f}: check the sheet's width and height in the plan",
        sheet.width_mm / sheet.height_mm * std::exp(turn.contradiction), sheet.width_mm / sheet.height_mm));
  }
  const double px_per_mm = frame.camera.PixelsPerMm({0.5 * sheet.width_mm, 0.5 * sheet.height_mm});
  if (px_per_mm < kRefusedPxPerMm) {
    return Error{ErrorCode::kPhotoUnusable,
                 fmt::format("{}: the sheet is shown with only {:.1f} pixels to the millimetre; {} is the least",
                             photo.name, px_per_mm, kRefusedPxPerMm),
                 "go nearer, or use the photo as the camera took it (docs/photo.md)"};
  }
  return frame;
}

}  // namespace

Result<SheetFrame> FindSheet(const Photo& photo, const Sheet& sheet) {
  try {
    return Find(photo, sheet);
  } catch (const cv::Exception& e) {
    return Error{ErrorCode::kPhotoUnusable, fmt::format("{}: the photo could not be worked on ({})", photo.name, e.err),
                 "take the photo anew"};
  }
}

}  // namespace truepull
