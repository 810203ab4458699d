// SPDX-License-Identifier: Apache-2.0
#include "photo/cross_finder.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "truepull/marker_cards.h"
#include "truepull/units.h"

namespace truepull {
namespace {

constexpr double kBeyondMm = 5.5;         // Looked at round a cross's middle.
constexpr double kFlankMm = 0.9;          // Paper beside a stroke, clear of its blur.
constexpr double kLeastContrast = 0.025;  // A faint pencil's stroke at 5 px to the mm has 0.04.
constexpr double kTimesNoise = 8;         // Texture, fingers and pencil lines reach 6.
constexpr double kPaperShare = 0.7;       // Of the light paper round it, what a stroke must have beside it.
constexpr double kTwinShare = 0.7;        // So good is another cross that it may be the one.
constexpr double kTwinApartMm = 1.5;

// A square of the sheet round the planned place, even in millimetres.
struct Patch {
  cv::Mat grey;            // CV_32FC1, 0..255.
  double pitch = 0;        // mm.
  double half = 0;         // mm, from the middle to the edge.
  double paper = 0;        // Level of the lighter part: paper, unless the table is lighter still.
  // Level at a place from the patch's middle, mm: bilinear.
  double At(Point p) const {
    const double x = (p.x + half) / pitch, y = (p.y + half) / pitch;
    const int i = static_cast<int>(x), j = static_cast<int>(y);
    if (x < 0 || y < 0 || i + 1 >= grey.cols || j + 1 >= grey.rows) return 0;
    const double u = x - i, v = y - j;
    const auto* top = grey.ptr<float>(j) + i;
    const auto* low = grey.ptr<float>(j + 1) + i;
    return (1 - v) * ((1 - u) * double{top[0]} + u * double{top[1]}) + v * ((1 - u) * double{low[0]} + u * double{low[1]});
  }
};

Patch PatchRound(const cv::Mat& photo, const SheetCamera& rough, Point middle) {
  Patch patch;
  patch.pitch = std::clamp(0.8 / rough.PixelsPerMm(middle), 0.08, 0.25);
  patch.half = kCrossSearchMm + kBeyondMm;
  const int n = static_cast<int>(2 * patch.half / patch.pitch) + 1;
  cv::Mat map(n, n, CV_32FC2), grey;
  for (int j = 0; j < n; ++j) {
    for (int i = 0; i < n; ++i) {
      const Point q = rough.PhotoFromSheet(middle + Point{i * patch.pitch - patch.half, j * patch.pitch - patch.half});
      map.at<cv::Vec2f>(j, i) = {static_cast<float>(q.x), static_cast<float>(q.y)};
    }
  }
  // Outside the photo is black: no paper there.
  cv::remap(photo, grey, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_CONSTANT, 0);
  grey.convertTo(patch.grey, CV_32F);
  cv::Mat levels = grey.reshape(1, 1).clone();
  const auto upper = levels.begin<std::uint8_t>() + levels.cols * 4 / 5;
  std::nth_element(levels.begin<std::uint8_t>(), upper, levels.end<std::uint8_t>());
  patch.paper = *upper;
  return patch;
}

// By how much a stretch of an arm is darker than the lighter paper on *both* of its sides, middling.
double Darker(const Patch& patch, Point middle, Point along, double from, double to) {
  const Point across{-along.y, along.x};
  std::array<double, 24> v{};
  std::size_t n = 0;
  for (double t = from; t <= to && n < v.size(); t += 0.25) {
    const Point p = middle + t * along;
    v[n++] = std::min(patch.At(p + kFlankMm * across), patch.At(p - kFlankMm * across)) - patch.At(p);
  }
  std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(n / 2), v.begin() + static_cast<std::ptrdiff_t>(n));
  return v[n / 2];
}

double Score(const Patch& patch, Point middle, double turn) {
  double weakest = 1e9, beyond = 0;
  for (int arm = 0; arm < 4; ++arm) {
    const Point along = Rotation(turn + arm * std::numbers::pi / 2) * Point{1, 0};
    weakest = std::min(weakest, Darker(patch, middle, along, 0.6, kMarginMarkArmMm - 0.3));
    if (weakest <= 0) return weakest;
    // On the table, or half on it, is no mark; trimming may have taken the ends of arms.
    const Point across{-along.y, along.x}, out = middle + 0.5 * kMarginMarkArmMm * along;
    if (std::min(patch.At(out + kFlankMm * across), patch.At(out - kFlankMm * across)) < kPaperShare * patch.paper) return 0;
    // A line that runs on is a pencil line or the sheet's own edge.
    beyond = std::max(beyond, Darker(patch, middle, along, kMarginMarkArmMm + 0.7, kMarginMarkArmMm + 1.9));
  }
  return weakest - beyond;
}

struct Peak {
  Point middle;
  double turn = 0, score = 0;
};

// Best crosses at least kTwinApartMm apart, best first; two at most.
std::vector<Peak> Peaks(const Patch& patch, double& noise) {
  std::vector<Peak> all;
  std::vector<double> size;
  const double step = std::max(patch.pitch, 0.12);
  for (double y = -kCrossSearchMm; y <= kCrossSearchMm; y += step) {
    for (double x = -kCrossSearchMm; x <= kCrossSearchMm; x += step) {
      Peak best{{x, y}, 0, -1e9};
      for (const double deg : {0.0, -3.0, 3.0, -6.0, 6.0}) {
        const double s = Score(patch, best.middle, RadFromDeg(deg));
        if (s > best.score) best.score = s, best.turn = RadFromDeg(deg);
      }
      size.push_back(std::abs(best.score));
      all.push_back(best);
    }
  }
  std::nth_element(size.begin(), size.begin() + static_cast<std::ptrdiff_t>(size.size() / 2), size.end());
  noise = size[size.size() / 2];
  std::vector<Peak> out;
  while (out.size() < 2) {
    const Peak* best = nullptr;
    for (const Peak& p : all) {
      const bool free = out.empty() || Norm(p.middle - out[0].middle) > kTwinApartMm;
      if (free && (best == nullptr || p.score > best->score)) best = &p;
    }
    if (best == nullptr) break;
    out.push_back(*best);
  }
  return out;
}

struct StrokeLine {
  double offset = 0, slope = 0;   // The middle lies at offset + slope t across the stroke, mm.
  double sd = 0;                  // Of the offset, mm.
  bool usable = false;
};

// The stroke's middle where neither the other stroke nor a ring of kMarginMarkRingMm comes near:
// the centroid of the darkness across it, and a line through those.
StrokeLine FitStroke(const Patch& patch, Point middle, Point along) {
  const Point across{-along.y, along.x};
  constexpr double kReach = 0.75, kBase = 0.55;
  std::vector<Point> seen;   // t, offset.
  const double step = 0.5 * patch.pitch;
  for (double t = -2.7; t <= 2.7; t += patch.pitch) {
    const double a = std::abs(t);
    if (a < 0.45 || (a > 0.95 && a < 1.9)) continue;
    double base_left = 0, base_right = 0, n_left = 0, n_right = 0;
    for (double u = kBase; u <= kReach; u += step) {
      base_left += patch.At(middle + t * along - u * across), n_left += 1;
      base_right += patch.At(middle + t * along + u * across), n_right += 1;
    }
    base_left /= n_left, base_right /= n_right;
    double dark = 0, moment = 0;
    for (double u = -kReach; u <= kReach; u += step) {
      const double base = base_left + (base_right - base_left) * (u + kReach) / (2 * kReach);
      const double d = base - patch.At(middle + t * along + u * across);
      dark += d, moment += d * u;
    }
    if (dark > 0 && std::abs(moment / dark) < kBase) seen.push_back({t, moment / dark});
  }
  StrokeLine line;
  if (seen.size() < 8) return line;
  // Tukey's weights on the residuals' own spread: grit of a pencil, a hair.
  std::vector<double> weight(seen.size(), 1);
  for (int round = 0; round < 8; ++round) {
    double w = 0, wt = 0, wu = 0, wtt = 0, wtu = 0;
    for (std::size_t i = 0; i < seen.size(); ++i) {
      w += weight[i], wt += weight[i] * seen[i].x, wu += weight[i] * seen[i].y;
      wtt += weight[i] * seen[i].x * seen[i].x, wtu += weight[i] * seen[i].x * seen[i].y;
    }
    const double det = w * wtt - wt * wt;
    if (!(w > 4) || !(det > 0)) return line;
    line.slope = (w * wtu - wt * wu) / det;
    line.offset = (wu - line.slope * wt) / w;
    std::vector<double> left;
    for (const Point& p : seen) left.push_back(std::abs(p.y - line.offset - line.slope * p.x));
    std::vector<double> sorted = left;
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2), sorted.end());
    const double spread = std::max(1.4826 * sorted[sorted.size() / 2], 0.004);
    double squares = 0, kept = 0;
    for (std::size_t i = 0; i < left.size(); ++i) {
      const double r = left[i] / (4.685 * spread);
      weight[i] = r < 1 ? (1 - r * r) * (1 - r * r) : 0;
      squares += weight[i] * left[i] * left[i], kept += weight[i];
    }
    // Neighbouring profiles share pixels and grit: a half millimetre tells one thing.
    line.sd = std::sqrt(squares / kept / std::max(1.0, kept * patch.pitch / 0.5));
  }
  line.usable = true;
  return line;
}

// Mean darkness of the ring's four arcs between the arms, over the arms' own.
double RingOf(const Patch& patch, Point middle, double turn, double arms) {
  double sum = 0, n = 0;
  for (int deg = 0; deg < 360; deg += 6) {
    const int from_arm = std::min(deg % 90, 90 - deg % 90);
    if (from_arm < 24) continue;
    const Point out = Rotation(turn + RadFromDeg(deg)) * Point{1, 0};
    sum += std::min(patch.At(middle + 0.75 * out), patch.At(middle + 2.3 * out)) - patch.At(middle + kMarginMarkRingMm * out);
    n += 1;
  }
  return sum / n / arms;
}

}  // namespace

namespace {

std::optional<FoundCross> Refined(const Patch& fine, const Patch& soft, Peak at, const SheetCamera& rough, Point planned_mm) {
  FoundCross found;
  found.contrast = at.score / soft.paper;
  found.ring = RingOf(soft, at.middle, at.turn, at.score);
  double sd_mm = 0;
  for (int round = 0; round < 3; ++round) {
    const Point x = Rotation(at.turn) * Point{1, 0}, y{-x.y, x.x};
    const StrokeLine level = FitStroke(fine, at.middle, x), upright = FitStroke(fine, at.middle, y);
    if (!level.usable || !upright.usable) return std::nullopt;
    // Level: v = a + b u; upright, along y with -x across: u = -(c + d v).
    const double v = (level.offset - level.slope * upright.offset) / (1 + level.slope * upright.slope);
    const double u = -(upright.offset + upright.slope * v);
    at.middle = at.middle + u * x + v * y;
    at.turn += 0.5 * (level.slope + upright.slope);
    sd_mm = std::max(level.sd, upright.sd);
  }
  found.rough_mm = planned_mm + at.middle;
  found.photo_px = rough.PhotoFromSheet(found.rough_mm);
  // A hundredth of a millimetre or a twentieth of a pixel at best: what sampling leaves.
  const double per_mm = rough.PixelsPerMm(found.rough_mm);
  found.sd_px = std::max({sd_mm * per_mm, 0.01 * per_mm, 0.05});
  return found;
}

}  // namespace

std::vector<FoundCross> FindCrosses(const cv::Mat& grey, const SheetCamera& rough, Point planned_mm) {
  const Patch fine = PatchRound(grey, rough, planned_mm);
  Patch soft = fine;
  cv::GaussianBlur(fine.grey, soft.grey, {}, 0.12 / fine.pitch);
  double noise = 0;
  std::vector<FoundCross> out;
  double best = 0;
  for (const Peak& at : Peaks(soft, noise)) {
    if (at.score < kLeastContrast * soft.paper || at.score < kTimesNoise * noise || at.score < kTwinShare * best) continue;
    if (const auto found = Refined(fine, soft, at, rough, planned_mm)) {
      out.push_back(*found);
      best = std::max(best, at.score);
    }
  }
  return out;
}

}  // namespace truepull
