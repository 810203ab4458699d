// SPDX-License-Identifier: Apache-2.0
#include "render/true_camera.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace truepull::render {
namespace {

using Matrix3 = std::array<double, 9>;

Matrix3 Product(const Matrix3& a, const Matrix3& b) {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      for (std::size_t k = 0; k < 3; ++k) out[3 * i + j] += a[3 * i + k] * b[3 * k + j];
    }
  }
  return out;
}

Matrix3 AboutZ(double angle) {
  const Rotation r(angle);
  return {r.c, -r.s, 0, r.s, r.c, 0, 0, 0, 1};
}

Matrix3 AboutY(double angle) {
  const Rotation r(angle);
  return {r.c, 0, r.s, 0, 1, 0, -r.s, 0, r.c};
}

/// Homography of a plane whose point `middle` lies at `t` before the lens.
Matrix3 PlaneHomography(const Matrix3& rotation, std::array<double, 3> t, Point middle,
                        double focal, Point centre) {
  const Matrix3 lens{focal, 0, centre.x, 0, focal, centre.y, 0, 0, 1};
  Matrix3 plane{};
  for (std::size_t i = 0; i < 3; ++i) {
    plane[3 * i] = rotation[3 * i];
    plane[3 * i + 1] = rotation[3 * i + 1];
    plane[3 * i + 2] = t[i] - rotation[3 * i] * middle.x - rotation[3 * i + 1] * middle.y;
  }
  Matrix3 h = Product(lens, plane);
  for (double& v : h) v /= h[8];
  return h;
}

}  // namespace

TrueCamera StandCamera(const Sheet& sheet, const RenderOptions& options) {
  const CameraFaults& c = options.camera;
  const double width = options.width_px, height = options.height_px;
  TrueCamera out;
  SheetCamera& model = out.model;
  model.centre = {(width - 1) / 2, (height - 1) / 2};
  model.focal_px = c.focal_share * std::max(width, height);
  model.k1 = c.k1;
  model.k2 = c.k2;
  // z points from the lens into the scene; with y down that is right-handed, and the
  // printed face looks back at the lens.
  const Matrix3 tilt = Product(AboutZ(c.tilt_towards_rad),
                               Product(AboutY(-c.tilt_rad), AboutZ(-c.tilt_towards_rad)));
  const Matrix3 turn = AboutZ(c.roll_rad + c.quarter_turns * std::numbers::pi / 2);
  const Matrix3 rotation = Product(tilt, turn);
  const Point middle{sheet.width_mm / 2, sheet.height_mm / 2};
  const Outline corners{{0, 0}, {sheet.width_mm, 0}, {sheet.width_mm, sheet.height_mm},
                        {0, sheet.height_mm}};
  // Distance and sideways place by a few rounds of proportional correction: the picture
  // of the sheet must be `fill` of the frame and centred where asked.
  std::array<double, 3> t{0, 0, 3 * (sheet.width_mm + sheet.height_mm)};
  for (int round = 0; round < 40; ++round) {
    model.h = PlaneHomography(rotation, t, middle, model.focal_px, model.centre);
    Outline seen;
    for (const Point& corner : corners) seen.push_back(model.PhotoFromSheet(corner));
    const Box box = BoundingBox(seen);
    const double share = std::max(box.Width() / width, box.Height() / height);
    const double error_x =
        (box.left + box.right) / 2 - model.centre.x - c.offset.x * width;
    const double error_y =
        (box.top + box.bottom) / 2 - model.centre.y - c.offset.y * height;
    t[0] -= error_x * t[2] / model.focal_px;
    t[1] -= error_y * t[2] / model.focal_px;
    t[2] *= share / c.fill;
  }
  model.h = PlaneHomography(rotation, t, middle, model.focal_px, model.centre);
  // The lens in the sheet's own axes: -R^T t, the sheet's normal away from the lens.
  std::array<double, 3> lens{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < 3; ++k) lens[i] -= rotation[3 * k + i] * t[k];
  }
  out.foot = {middle.x + lens[0], middle.y + lens[1]};
  out.height_mm = -lens[2];
  return out;
}

PhotoToSheet::PhotoToSheet(const SheetCamera& camera)
    : inverse_(InvertHomography(camera.h)),
      centre_(camera.centre),
      focal_(camera.focal_px),
      k1_(camera.k1),
      k2_(camera.k2) {}

Point PhotoToSheet::operator()(double x_px, double y_px) const {
  const Point d{(x_px - centre_.x) / focal_, (y_px - centre_.y) / focal_};
  const double target2 = Dot(d, d);
  // n = d / (1 + k1 r^2 + k2 r^4): Newton on the radius, from the distorted one.
  double scale = 1;
  if ((k1_ != 0 || k2_ != 0) && target2 > 0) {
    const double target = std::sqrt(target2);
    double r = target;
    for (int i = 0; i < 8; ++i) {
      const double r2 = r * r;
      const double slope = 1 + r2 * (3 * k1_ + 5 * k2_ * r2);
      if (slope < 0.05) break;
      const double step = (r * (1 + r2 * (k1_ + k2_ * r2)) - target) / slope;
      r -= step;
      if (std::abs(step) < 1e-13) break;
    }
    scale = r / target;
  }
  return ApplyHomography(inverse_, centre_ + (focal_ * scale) * d);
}

}  // namespace truepull::render
