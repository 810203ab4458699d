// SPDX-License-Identifier: Apache-2.0
#include "photo/side_trace.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/core/utility.hpp>

#include "truepull/colour.h"

namespace truepull {
namespace {

constexpr double kStepPx = 0.5;        // Between samples of a profile.
constexpr double kLeastContrast = 0.015;  // Linear light; sensor noise stays under a third of it.

struct Light {
  std::array<float, 3> c{};
};

bool LightAt(const cv::Mat& bgr, Point p, Light* light) {
  const int x = static_cast<int>(std::floor(p.x)), y = static_cast<int>(std::floor(p.y));
  if (x < 0 || y < 0 || x + 1 >= bgr.cols || y + 1 >= bgr.rows) return false;
  const std::array<float, 256>& lut = LinearOfCodes();
  const float fx = static_cast<float>(p.x - x), fy = static_cast<float>(p.y - y);
  const unsigned char* up = bgr.ptr(y) + 3 * x;
  const unsigned char* down = bgr.ptr(y + 1) + 3 * x;
  for (int c = 0; c < 3; ++c) {
    const float top = lut[up[c]] + fx * (lut[up[c + 3]] - lut[up[c]]);
    const float bottom = lut[down[c]] + fx * (lut[down[c + 3]] - lut[down[c]]);
    light->c[static_cast<std::size_t>(c)] += top + fy * (bottom - top);
  }
  return true;
}

struct Found {
  double at_px = 0, sd_px = 0, blur_px = 0, contrast = 0;
};

double Distribution(double u) { return 0.5 * std::erfc(-u * std::numbers::sqrt2 / 2); }
double Density(double u) { return std::exp(-0.5 * u * u) * std::numbers::inv_sqrtpi / std::numbers::sqrt2; }

// Slope of the table's light over 6 px from `from_px` on: the ramp of the sheet's shadow.
double SlopeBeyond(const std::vector<double>& y, int lo, int hi, double from_px) {
  const double half = 0.5 * double(y.size() - 1);
  const int first = std::max(lo, static_cast<int>(std::ceil(from_px / kStepPx + half)));
  const int last = std::min(hi - 1, first + static_cast<int>(6 / kStepPx));
  const int n = last - first + 1;
  if (n < 6) return 0;
  double sum = 0, moment = 0, square = 0;
  for (int i = first; i <= last; ++i) sum += y[static_cast<std::size_t>(i)];
  for (int i = first; i <= last; ++i) {
    const double t = (i - 0.5 * (first + last)) * kStepPx;
    moment += t * (y[static_cast<std::size_t>(i)] - sum / n);
    square += t * t;
  }
  return moment / square;
}

// Fits the step near `peak`; y runs outward in kStepPx from -half * kStepPx, and is there
// for lo <= index < hi.
bool FitStep(const std::vector<double>& y, int lo, int hi, double peak_px, double blur_px, Found* found) {
  const bool free_blur = blur_px <= 0;
  double s = free_blur ? 1.2 : blur_px, t0 = peak_px;
  const double window = free_blur ? 4.5 : std::max(3.0, 3.2 * blur_px);
  const double half = 0.5 * double(y.size() - 1);
  const int first = std::max(lo, static_cast<int>(std::ceil((peak_px - window) / kStepPx + half)));
  const int last = std::min(hi - 1,
                            static_cast<int>(std::floor((peak_px + window) / kStepPx + half)));
  if (last - first < 10) return false;
  double a = y[static_cast<std::size_t>(first)], b = a - y[static_cast<std::size_t>(last)], c = 0;
  const double beyond = SlopeBeyond(y, lo, hi, t0 + 2.2 * s + 0.5);
  c = beyond;
  using Vector = Eigen::Matrix<double, 5, 1>;
  using Matrix = Eigen::Matrix<double, 5, 5>;
  Matrix normal;
  double squares = 0;
  const int n = last - first + 1;
  for (int round = 0; round < 7; ++round) {
    normal.setZero();
    Vector right = Vector::Zero();
    squares = 0;
    for (int i = first; i <= last; ++i) {
      const double t = (i - half) * kStepPx, u = (t - t0) / s;
      const double f = Distribution(u), d = Density(u) / s;
      const double r = y[static_cast<std::size_t>(i)] - (a - b * f + c * (t - t0) * f);
      Vector row;
      row << 1, -f, (t - t0) * f, b * d - c * f - c * (t - t0) * d,
          free_blur ? (b - c * (t - t0)) * d * u : 0.0;
      normal.noalias() += row * row.transpose();
      right += r * row;
      squares += r * r;
    }
    // The slope is held near the one seen beyond the blur; blur, where free, to a camera's
    // range. Both priors in units of the data's own scatter, which is at least 1 % of the
    // step: a lens's blur is not quite normal, and a free slope on one side would make a
    // shift of that (0.02 px on drawn edges).
    const double noise = std::max(1e-4 * b * b + 1e-9, squares / n);
    const double slope_weight = noise / (0.01 * 0.01 * b * b + 1e-9);
    normal(2, 2) += slope_weight;
    right(2) -= (c - beyond) * slope_weight;
    normal(4, 4) += free_blur ? noise / 0.25 : 1.0;
    if (free_blur) right(4) -= (s - 1.2) * noise / 0.25;
    const Vector step = normal.ldlt().solve(right);
    if (!step.allFinite()) return false;
    a += step(0);
    b += step(1);
    c += step(2);
    t0 += std::clamp(step(3), -1.0, 1.0);
    if (free_blur) s = std::clamp(s + std::clamp(step(4), -0.4, 0.4), 0.4, 4.0);
    if (std::abs(t0 - peak_px) > 3.0) return false;
    if (round > 1 && std::abs(step(3)) < 1e-4) break;
  }
  if (b <= 0) return false;
  // Samples at half pixels of an interpolated picture repeat each other; two of them
  // count as one.
  const double variance = squares / std::max(1, n - 5) * 2;
  const Matrix inverse = normal.inverse();
  found->at_px = t0;
  found->sd_px = std::sqrt(std::max(0.0, variance * inverse(3, 3)));
  found->blur_px = s;
  found->contrast = b;
  return std::isfinite(found->sd_px);
}

bool TracePlace(const cv::Mat& bgr,
                Point place,
                Point along,
                const TraceOptions& options,
                double blur_px,
                bool* outside,
                Found* found) {
  const Point outward{along.y, -along.x};
  const double window = blur_px > 0 ? std::max(3.0, 3.2 * blur_px) : 4.5;
  // Beyond the window, where the picture allows, the table's slope is looked at.
  const int half = static_cast<int>(std::ceil((options.reach_px + window + 4) / kStepPx));
  const std::size_t n = static_cast<std::size_t>(2 * half + 1);
  std::vector<Light> profile(n);
  const auto sample = [&](int j) {
    const Point middle = place + ((j - half) * kStepPx) * outward;
    Light light;
    for (int line = 0; line < options.lines; ++line) {
      const Point p = middle + (2.0 * (line - 0.5 * (options.lines - 1))) * along;
      if (!LightAt(bgr, p, &light)) return false;
    }
    profile[static_cast<std::size_t>(j)] = light;
    return true;
  };
  // The profile may run out of the picture at either end.
  int lo = half, hi = half;
  while (hi < static_cast<int>(n) && sample(hi)) ++hi;
  while (lo > 0 && sample(lo - 1)) --lo;
  if (hi - lo < 14) {
    *outside = true;
    return false;
  }
  const auto mean = [&](int from, int to) {
    Light m;
    for (int j = from; j < to; ++j) {
      for (std::size_t c = 0; c < 3; ++c) m.c[c] += profile[static_cast<std::size_t>(j)].c[c] / float(to - from);
    }
    return m;
  };
  // The strongest fall of light over +-2.5 px, in the colour that falls there.
  constexpr int kGap = 1, kRun = 4;
  const int reach = static_cast<int>(options.reach_px / kStepPx);
  double most = 0;
  int peak = -1;
  Light towards;
  for (int j = half - reach; j <= half + reach; ++j) {
    if (j - kGap - kRun < lo || j + kGap + kRun >= hi) continue;
    const Light in = mean(j - kGap - kRun + 1, j - kGap + 1), out = mean(j + kGap, j + kGap + kRun);
    double sum = 0, square = 0;
    for (std::size_t c = 0; c < 3; ++c) {
      const double d = in.c[c] - out.c[c];
      sum += d;
      square += d * d;
    }
    if (options.dark_sheet ? sum >= 0 : sum <= 0) continue;
    // Near the expected place counts a little more.
    const double off = (j - half) / double(reach + 1);
    const double score = std::sqrt(square) * (1 - 0.3 * off * off);
    if (score > most) {
      most = score;
      peak = j;
      for (std::size_t c = 0; c < 3; ++c) {
        towards.c[c] = static_cast<float>((in.c[c] - out.c[c]) / std::sqrt(square));
      }
    }
  }
  if (peak < 0 || most / options.lines < kLeastContrast) return false;
  std::vector<double> y(n);
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t c = 0; c < 3; ++c) y[j] += double(towards.c[c]) * profile[j].c[c] / options.lines;
  }
  return FitStep(y, lo, hi, (peak - half) * kStepPx, blur_px, found) && found->contrast > kLeastContrast &&
         std::abs(found->at_px) < options.reach_px + 1;
}

double Quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(share * double(values.size() - 1));
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

TracedSides TraceSides(const cv::Mat& bgr, const SideFit& expected, const TraceOptions& options) {
  TracedSides traced;
  std::array<std::vector<SidePoint>, 4> points;
  const auto trace_side = [&](std::size_t side) {
    const double length = Norm(expected.PhotoFromSide(side, 1) - expected.PhotoFromSide(side, 0));
    const double margin = std::min(0.2, options.margin_px / std::max(1.0, length));
    std::vector<double> blurs, contrasts;
    for (int i = 0; i < options.places; ++i) {
      const double t = margin + (1 - 2 * margin) * (i + 0.5) / options.places;
      const Point place = expected.PhotoFromSide(side, t);
      const Point ahead = expected.PhotoFromSide(side, t + 2 / length), behind = expected.PhotoFromSide(side, t - 2 / length);
      const Point along = (1 / Norm(ahead - behind)) * (ahead - behind);
      bool outside = false;
      Found found;
      const bool ok = TracePlace(bgr, place, along, options, options.blur_px[side], &outside, &found);
      if (outside) {
        ++traced.outside[side];
        continue;
      }
      ++traced.tried[side];
      if (!ok) continue;
      const Point outward{along.y, -along.x};
      // 0.15 px stands for the edge's own roughness and the table's grain at the edge.
      points[side].push_back(
          {side, t, place + found.at_px * outward, std::hypot(found.sd_px, 0.15)});
      blurs.push_back(found.blur_px);
      contrasts.push_back(found.contrast);
    }
    // Ink or a shadow close to the edge makes it look more blurred, never less.
    traced.blur_px[side] = Quantile(blurs, 0.35);
    traced.contrast[side] = Quantile(contrasts, 0.5);
  };
  // Sides share nothing but the photo; their points are joined in order.
  cv::parallel_for_(cv::Range(0, 4), [&](const cv::Range& range) {
    for (int side = range.start; side < range.end; ++side) trace_side(static_cast<std::size_t>(side));
  });
  for (const auto& some : points) traced.points.insert(traced.points.end(), some.begin(), some.end());
  return traced;
}

}  // namespace truepull
