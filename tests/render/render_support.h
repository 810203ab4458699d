// SPDX-License-Identifier: Apache-2.0
// Small plans and pixel measurements for the tests of render.
#ifndef TRUEPULL_TESTS_RENDER_RENDER_SUPPORT_H_
#define TRUEPULL_TESTS_RENDER_RENDER_SUPPORT_H_

#include <cmath>
#include <opencv2/core.hpp>

#include "support/sheets.h"
#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull {

/// Two rows of three tiles of 40 x 30 mm, touching, on a sheet of 160 x 100 mm.
inline Plan SmallPlan() {
  Plan plan = testing::PlanOf({.sheet_mm = {160, 100}, .tile_mm = {40, 30}, .origin = {20, 20}, .rows = 2, .columns = 3});
  plan.colours = {"#3a62a8", "#b8502a"};
  plan.edge_colour = "#2a2018";
  return plan;
}

/// A picture of a third of a megapixel.
inline RenderOptions SmallOptions() {
  RenderOptions options;
  options.width_px = 720;
  options.height_px = 480;
  return options;
}

/// A fault at one site, set by the caller.
template <typename SetFault>
SiteFault FaultAt(Site site, SetFault set) {
  SiteFault fault;
  fault.site = site;
  set(fault);
  return fault;
}

/// sRGB code to linear light (IEC 61966-2-1).
inline double Linear(double code) {
  const double c = code / 255;
  return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

inline bool SamePixels(const cv::Mat& a, const cv::Mat& b) {
  return a.size() == b.size() && a.type() == b.type() && cv::norm(a, b, cv::NORM_INF) == 0;
}

/// Linear green light at the pixel nearest to a place of the sheet.
inline double GreenAt(const RenderedSheet& sheet, Point place_mm) {
  const Point px = sheet.camera.PhotoFromSheet(place_mm);
  return Linear(sheet.bgr.at<cv::Vec3b>(static_cast<int>(std::lround(px.y)),
                                        static_cast<int>(std::lround(px.x)))[1]);
}

}  // namespace truepull

#endif  // TRUEPULL_TESTS_RENDER_RENDER_SUPPORT_H_
