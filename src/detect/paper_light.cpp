// SPDX-License-Identifier: Apache-2.0
#include "detect/paper_light.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/reached_paper.h"

namespace truepull::detect {

Light PaperLight::At(Point sheet_mm) const {
  const double u = std::clamp(sheet_mm.x / cell_mm - 0.5, 0.0, field.cols - 1.001);
  const double v = std::clamp(sheet_mm.y / cell_mm - 0.5, 0.0, field.rows - 1.001);
  const int i = static_cast<int>(u), j = static_cast<int>(v);
  const auto a = static_cast<float>(u - i), b = static_cast<float>(v - j);
  const auto* p = field.ptr<cv::Vec3f>(j) + i;
  const auto* q = field.ptr<cv::Vec3f>(j + 1) + i;
  Light out;
  for (int c = 0; c < 3; ++c) {
    const float top = p[0][c] + a * (p[1][c] - p[0][c]);
    const float bottom = q[0][c] + a * (q[1][c] - q[0][c]);
    out[static_cast<std::size_t>(c)] = top + b * (bottom - top);
  }
  return out;
}

namespace {

// Linear light over the sheet, area-averaged from the photo.
cv::Mat Rectify(const Photo& photo, const SheetCamera& camera, const Sheet& sheet,
                double px_per_mm) {
  // One map pixel covers `ratio` photo pixels; average that many first.
  const Point middle{sheet.width_mm / 2, sheet.height_mm / 2};
  const double ratio = camera.PixelsPerMm(middle) / px_per_mm;
  const int shrink = std::clamp(static_cast<int>(std::lround(ratio)), 1, 16);
  cv::Mat small;
  if (shrink > 1) {
    // Whole blocks only, so that place (u, v) becomes (u + 0.5) / shrink - 0.5.
    const cv::Rect whole(0, 0, photo.bgr.cols / shrink * shrink, photo.bgr.rows / shrink * shrink);
    cv::resize(photo.bgr(whole), small, cv::Size(whole.width / shrink, whole.height / shrink), 0, 0,
               cv::INTER_AREA);
  } else {
    small = photo.bgr;
  }
  const int width = std::max(8, static_cast<int>(std::ceil(sheet.width_mm * px_per_mm)));
  const int height = std::max(8, static_cast<int>(std::ceil(sheet.height_mm * px_per_mm)));
  cv::Mat out(height, width, CV_32FC3);
  const PhotoSampler sampler(small);
  cv::parallel_for_(cv::Range(0, height), [&](const cv::Range& range) {
    for (int j = range.start; j < range.end; ++j) {
      auto* row = out.ptr<cv::Vec3f>(j);
      for (int i = 0; i < width; ++i) {
        const Point p = camera.PhotoFromSheet({(i + 0.5) / px_per_mm, (j + 0.5) / px_per_mm});
        const double u = std::clamp((p.x + 0.5) / shrink - 0.5, 0.0, small.cols - 1.001);
        const double v = std::clamp((p.y + 0.5) / shrink - 0.5, 0.0, small.rows - 1.001);
        const Light l = sampler.At(u, v);
        row[i] = {l[0], l[1], l[2]};
      }
    }
  });
  return out;
}

// 255 where no site is planned within reach of a careless hand, and not too near the
// sheet's own edge.
cv::Mat CertainMargin(const Plan& plan, cv::Size size, double px_per_mm) {
  cv::Mat mask(size, CV_8U, cv::Scalar(255));
  for (const Site site : AllSites(plan.lattice)) {
    std::vector<cv::Point> polygon;
    for (const Point& p : Apply(IdealPose(plan.lattice, site), OutlineAt(plan, site))) {
      polygon.emplace_back(cv::saturate_cast<int>(p.x * px_per_mm), cv::saturate_cast<int>(p.y * px_per_mm));
    }
    cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{polygon}, cv::Scalar(0));
  }
  const int reach = static_cast<int>(6 * px_per_mm);
  cv::erode(mask, mask, cv::Mat(), cv::Point(-1, -1), reach, cv::BORDER_CONSTANT, cv::Scalar(255));
  const int rim = static_cast<int>(2 * px_per_mm);
  mask.rowRange(0, std::min(mask.rows, rim)).setTo(0);
  mask.rowRange(std::max(0, mask.rows - rim), mask.rows).setTo(0);
  mask.colRange(0, std::min(mask.cols, rim)).setTo(0);
  mask.colRange(std::max(0, mask.cols - rim), mask.cols).setTo(0);
  return mask;
}

constexpr int kTerms = 10;  // Cubic surface in x and y.
void Terms(double x, double y, double* t) {
  const double v[kTerms] = {1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y};
  std::copy(v, v + kTerms, t);
}

}  // namespace

LitSheet LightSheet(const Photo& photo, const SheetCamera& camera, const Plan& plan) {
  LitSheet lit;
  // 2 px to the mm: fine enough for a 2 mm band, coarse enough to search quickly.
  lit.map.px_per_mm = std::clamp(1200.0 / std::max(plan.sheet.width_mm, plan.sheet.height_mm), 1.0, 2.0);
  const cv::Mat linear = Rectify(photo, camera, plan.sheet, lit.map.px_per_mm);

  // Everything about the paper is done on a quarter-size copy.
  const double step_mm = 2.0;
  const cv::Size size(std::max(4, static_cast<int>(plan.sheet.width_mm / step_mm)),
                      std::max(4, static_cast<int>(plan.sheet.height_mm / step_mm)));
  cv::Mat small;
  cv::resize(linear, small, size, 0, 0, cv::INTER_AREA);
  cv::Mat mask = CertainMargin(plan, size, 1 / step_mm);
  if (cv::countNonZero(mask) < 200) mask.setTo(255);  // Printed to the edge: use all.

  // Cubic surface through ln(light) of paper, reweighted: darker is ink or smudge.
  const int n = size.area();
  cv::Mat log_light(size, CV_32FC3);
  for (int j = 0; j < size.height; ++j) {
    for (int i = 0; i < size.width; ++i) {
      const cv::Vec3f l = small.at<cv::Vec3f>(j, i);
      for (int c = 0; c < 3; ++c) log_light.at<cv::Vec3f>(j, i)[c] = std::log(std::max(1e-4f, l[c]));
    }
  }
  cv::Mat surface(size, CV_32FC3, cv::Scalar::all(0));
  cv::Mat weight(size, CV_32F, cv::Scalar(0));
  std::vector<double> design(static_cast<std::size_t>(n) * kTerms);
  for (int j = 0; j < size.height; ++j) {
    for (int i = 0; i < size.width; ++i) {
      Terms(2.0 * i / size.width - 1, 2.0 * j / size.height - 1,
            &design[static_cast<std::size_t>(j * size.width + i) * kTerms]);
    }
  }
  for (int pass = 0; pass < 6; ++pass) {
    for (int j = 0; j < size.height; ++j) {
      for (int i = 0; i < size.width; ++i) {
        float w = mask.at<uchar>(j, i) ? 1.0f : 0.0f;
        if (pass > 0) {
          // From the second pass on any place may be paper; ink is darker in some channel.
          float low = 0, high = 0;
          for (int c = 0; c < 3; ++c) {
            const float d = log_light.at<cv::Vec3f>(j, i)[c] - surface.at<cv::Vec3f>(j, i)[c];
            low = std::min(low, d);
            high = std::max(high, d);
          }
          const float tight = pass < 3 ? 0.12f : 0.06f;
          w = (mask.at<uchar>(j, i) ? 1.0f : 0.5f) *
              std::exp(-0.5f * (low / tight) * (low / tight) - 0.5f * (high / 0.15f) * (high / 0.15f));
        }
        weight.at<float>(j, i) = w;
      }
    }
    for (int c = 0; c < 3; ++c) {
      cv::Matx<double, kTerms, kTerms> a = cv::Matx<double, kTerms, kTerms>::eye() * 1e-3;
      cv::Matx<double, kTerms, 1> b = cv::Matx<double, kTerms, 1>::zeros();
      for (int k = 0; k < n; ++k) {
        const double w = weight.at<float>(k / size.width, k % size.width);
        if (w < 1e-3) continue;
        const double* t = &design[static_cast<std::size_t>(k) * kTerms];
        const double y = log_light.at<cv::Vec3f>(k / size.width, k % size.width)[c];
        for (int r = 0; r < kTerms; ++r) {
          b(r) += w * t[r] * y;
          for (int s = r; s < kTerms; ++s) a(r, s) += w * t[r] * t[s];
        }
      }
      for (int r = 0; r < kTerms; ++r) {
        for (int s = 0; s < r; ++s) a(r, s) = a(s, r);
      }
      const cv::Matx<double, kTerms, 1> x = a.solve(b, cv::DECOMP_CHOLESKY);
      for (int k = 0; k < n; ++k) {
        const double* t = &design[static_cast<std::size_t>(k) * kTerms];
        double v = 0;
        for (int r = 0; r < kTerms; ++r) v += x(r) * t[r];
        surface.at<cv::Vec3f>(k / size.width, k % size.width)[c] = static_cast<float>(v);
      }
    }
  }
  // What the surface leaves (soft shadows) is followed by smoothing over paper only.
  cv::Mat residual = log_light - surface;
  const cv::Mat reached = ReachedPaper(residual, Restlessness(linear, size), mask, weight, !HasGreyInk(plan));
  weight.setTo(1, reached);
  cv::Mat weight3, top, bottom;
  cv::merge(std::vector<cv::Mat>{weight, weight, weight}, weight3);
  cv::multiply(residual, weight3, top);
  const double sigma = 12.0 / step_mm;
  cv::GaussianBlur(top, top, cv::Size(), sigma, sigma, cv::BORDER_REFLECT);
  cv::GaussianBlur(weight, bottom, cv::Size(), sigma, sigma, cv::BORDER_REFLECT);
  std::vector<float> levels;
  double noise_sum = 0, noise_weight = 0;
  for (int j = 0; j < size.height; ++j) {
    for (int i = 0; i < size.width; ++i) {
      const float w = bottom.at<float>(j, i);
      auto& s = surface.at<cv::Vec3f>(j, i);
      // Where little paper is near, lean on the surface (0.02 of full weight).
      for (int c = 0; c < 3; ++c) s[c] += top.at<cv::Vec3f>(j, i)[c] / (w + 0.02f);
      const float pw = weight.at<float>(j, i);
      if (pw > 0.6f) {
        levels.push_back((std::exp(s[0]) + std::exp(s[1]) + std::exp(s[2])) / 3);
        const double d = log_light.at<cv::Vec3f>(j, i)[1] - s[1];
        noise_sum += pw * d * d;
        noise_weight += pw;
      }
    }
  }
  cv::exp(surface, surface);
  if (!levels.empty()) {
    std::nth_element(levels.begin(), levels.begin() + static_cast<std::ptrdiff_t>(levels.size() / 2), levels.end());
    lit.paper_level = levels[levels.size() / 2];
  }
  lit.paper_noise = noise_weight > 0 ? std::sqrt(noise_sum / noise_weight) : 0;
  lit.paper.cell_mm = step_mm;
  lit.paper.field = surface;

  lit.map.light.create(linear.size(), CV_32FC3);
  lit.map.density.create(linear.size(), CV_32F);
  cv::parallel_for_(cv::Range(0, linear.rows), [&](const cv::Range& range) {
    for (int j = range.start; j < range.end; ++j) {
      for (int i = 0; i < linear.cols; ++i) {
        const Light white = lit.paper.At({(i + 0.5) / lit.map.px_per_mm, (j + 0.5) / lit.map.px_per_mm});
        const cv::Vec3f l = linear.at<cv::Vec3f>(j, i);
        cv::Vec3f& out = lit.map.light.at<cv::Vec3f>(j, i);
        float sum = 0;
        for (int c = 0; c < 3; ++c) sum += (out[c] = l[c] / white[static_cast<std::size_t>(c)]);
        lit.map.density.at<float>(j, i) = std::clamp(-std::log(std::max(1e-3f, sum / 3)), 0.0f, 3.0f);
      }
    }
  });
  return lit;
}

}  // namespace truepull::detect
