// SPDX-License-Identifier: Apache-2.0
// The earlier passes drawn flat from their readings.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "detect/paper_light.h"
#include "truepull/beneath.h"
#include "truepull/colour.h"

namespace truepull {
namespace {

using namespace detect;

constexpr double kPxPerMm = 5;
constexpr double kBandMm = 2;       // A drawn edge's usual width.
constexpr int kShift = 4;           // fillPoly counts in sixteenths of a pixel.

cv::Scalar LinearOf(const std::string& hex) {
  if (hex.size() != 7) return cv::Scalar::all(1);
  const auto channel = [&](std::size_t at) {
    return static_cast<double>(LinearOfCodes()[static_cast<std::size_t>(std::stoi(hex.substr(at, 2), nullptr, 16))]);
  };
  return {channel(5), channel(3), channel(1)};
}

std::vector<std::vector<cv::Point>> Scaled(const Outline& outline) {
  std::vector<cv::Point> out;
  for (const Point& p : outline) {
    out.emplace_back(static_cast<int>(std::lround((p.x * kPxPerMm - 0.5) * (1 << kShift))),
                     static_cast<int>(std::lround((p.y * kPxPerMm - 0.5) * (1 << kShift))));
  }
  return {out};
}

}  // namespace

Beneath DrawBeneath(const std::vector<const Reading*>& earlier) {
  Beneath out;
  out.drawn = true;
  out.plan = earlier.front()->plan;
  const Sheet& sheet = out.plan.sheet;
  const cv::Size size(static_cast<int>(std::ceil(sheet.width_mm * kPxPerMm)), static_cast<int>(std::ceil(sheet.height_mm * kPxPerMm)));
  cv::Mat linear(size, CV_32FC3, cv::Scalar::all(1));
  for (const Reading* reading : earlier) {
    const double fit_x = sheet.width_mm / reading->plan.sheet.width_mm, fit_y = sheet.height_mm / reading->plan.sheet.height_mm;
    const auto pass = std::find_if(reading->plan.passes.begin(), reading->plan.passes.end(), [&](const Pass& p) { return p.name == reading->pass; });
    const bool first = pass == reading->plan.passes.end();
    for (const SiteReading& s : reading->sheet.sites) {
      if (s.state == SiteState::kMissing) continue;
      Outline at = Apply(s.found, first || pass->outline.empty() ? OutlineAt(reading->plan, s.site) : pass->outline);
      for (Point& p : at) p = {p.x * fit_x, p.y * fit_y};
      const cv::Scalar body = LinearOf(s.body_colour);
      const auto polygon = Scaled(at);
      const Box box = BoundingBox(at);
      cv::Rect part(static_cast<int>(box.left * kPxPerMm) - 4, static_cast<int>(box.top * kPxPerMm) - 4,
                    static_cast<int>(box.Width() * kPxPerMm) + 10, static_cast<int>(box.Height() * kPxPerMm) + 10);
      part &= cv::Rect(cv::Point(0, 0), size);
      if (part.empty()) continue;
      cv::Mat mask(part.size(), CV_8U, cv::Scalar(0));
      const cv::Point offset(-part.x * (1 << kShift), -part.y * (1 << kShift));
      auto moved = polygon;
      for (cv::Point& p : moved[0]) p += offset;
      cv::fillPoly(mask, moved, cv::Scalar(255), cv::LINE_AA, kShift);
      cv::Mat ring(part.size(), CV_8U, cv::Scalar(0));
      if (first && !reading->plan.edge_colour.empty()) {
        cv::Mat distance, inside = mask > 127;
        cv::distanceTransform(inside, distance, cv::DIST_L2, cv::DIST_MASK_PRECISE);
        ring = inside & (distance < kBandMm * kPxPerMm);
      }
      const cv::Scalar edge = LinearOf(reading->plan.edge_colour);
      cv::Mat target = linear(part);
      for (int y = 0; y < part.height; ++y) {
        for (int x = 0; x < part.width; ++x) {
          const float share = mask.at<uchar>(y, x) / 255.0F;
          if (share <= 0) continue;
          for (int c = 0; c < 3; ++c) {
            // Under the drawn edge about half of the body's colour lies.
            const double through = ring.at<uchar>(y, x) ? edge[c] * std::sqrt(body[c]) : body[c];
            target.at<cv::Vec3f>(y, x)[c] *= 1 - share + share * static_cast<float>(through);
          }
        }
      }
    }
  }
  // As a photo holds it: sRGB codes. The map's pixel (i, j) is the square round ((i + 0.5) / k, ...) mm.
  out.photo.name = "the earlier passes as they were read";
  out.photo.bgr.create(size, CV_8UC3);
  for (int y = 0; y < size.height; ++y) {
    for (int x = 0; x < size.width; ++x) {
      for (int c = 0; c < 3; ++c) {
        const double l = std::clamp(static_cast<double>(linear.at<cv::Vec3f>(y, x)[c]), 0.0, 1.0);
        out.photo.bgr.at<cv::Vec3b>(y, x)[c] = static_cast<uchar>(std::lround(255 * CodedOfLinear(l)));
      }
    }
  }
  out.camera.h = {kPxPerMm, 0, -0.5, 0, kPxPerMm, -0.5, 0, 0, 1};
  out.camera.centre = {size.width / 2.0, size.height / 2.0};
  out.camera.focal_px = size.width;
  return out;
}

}  // namespace truepull
