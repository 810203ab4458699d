// SPDX-License-Identifier: Apache-2.0
#include "photo/drawn_sheet.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "truepull/units.h"

namespace truepull::testing {
namespace {

using Colour = std::array<double, 3>;

double Smooth(double edge0, double edge1, double x) {
  const double t = std::clamp((x - edge0) / (edge1 - edge0), 0.0, 1.0);
  return t * t * (3 - 2 * t);
}

Colour Mix(const Colour& a, const Colour& b, double share_b) {
  return {a[0] + share_b * (b[0] - a[0]), a[1] + share_b * (b[1] - a[1]), a[2] + share_b * (b[2] - a[2])};
}

// A cheap value noise: repeatable from whole-number places.
double Hash(int x, int y, std::uint32_t seed) {
  std::uint32_t h = static_cast<std::uint32_t>(x) * 374761393U + static_cast<std::uint32_t>(y) * 668265263U + seed * 2246822519U;
  h = (h ^ (h >> 13)) * 1274126177U;
  return double((h ^ (h >> 16)) & 0xffffU) / 65535.0;
}
double Grain(double x, double y, std::uint32_t seed) {
  const int ix = static_cast<int>(std::floor(x)), iy = static_cast<int>(std::floor(y));
  const double fx = x - ix, fy = y - iy;
  const double top = Hash(ix, iy, seed) + fx * (Hash(ix + 1, iy, seed) - Hash(ix, iy, seed));
  const double low = Hash(ix, iy + 1, seed) + fx * (Hash(ix + 1, iy + 1, seed) - Hash(ix, iy + 1, seed));
  return top + fy * (low - top);
}

Colour TableLight(Table table, Point p, std::uint32_t seed) {
  switch (table) {
    case Table::kDark: return {0.05, 0.055, 0.06};
    case Table::kWood: {
      const double g = 0.6 * Grain(p.x / 90, p.y / 5, seed) + 0.4 * Grain(p.x / 40, p.y / 2, seed + 7);
      return Mix({0.012, 0.025, 0.05}, {0.04, 0.075, 0.15}, g);
    }
    case Table::kLightWood: {
      const double g = 0.6 * Grain(p.x / 90, p.y / 5, seed) + 0.4 * Grain(p.x / 40, p.y / 2, seed + 7);
      return Mix({0.15, 0.30, 0.46}, {0.27, 0.45, 0.60}, g);
    }
    case Table::kCheck: {
      const int a = static_cast<int>(std::floor(p.x / 34)) & 1, b = static_cast<int>(std::floor(p.y / 34)) & 1;
      return a + b == 0 ? Colour{0.62, 0.50, 0.42} : a + b == 1 ? Colour{0.40, 0.22, 0.13} : Colour{0.22, 0.08, 0.03};
    }
    case Table::kStone: {
      const double g = Grain(p.x / 30, p.y / 30, seed) * 0.6 + Grain(p.x / 6, p.y / 6, seed + 3) * 0.4;
      return Mix({0.18, 0.17, 0.17}, {0.30, 0.28, 0.27}, g);
    }
    case Table::kNearWhite: {
      const double g = Grain(p.x / 12, p.y / 12, seed);
      return Mix({0.50, 0.53, 0.54}, {0.54, 0.57, 0.58}, g);
    }
  }
  return {};
}

Colour PrintLight(const Drawing& d, Point mm, const Colour& paper) {
  const double m = d.print_margin_mm;
  if (!d.printed || mm.x < m || mm.y < m || mm.x > d.sheet.width_mm - m || mm.y > d.sheet.height_mm - m) return paper;
  const double u = std::fmod(mm.x - m, 50), v = std::fmod(mm.y - m, 40);
  const int which = static_cast<int>((mm.x - m) / 50) + static_cast<int>((mm.y - m) / 40);
  if (u < 2 || v < 2) return {0.03, 0.03, 0.04};
  return which % 2 == 0 ? Colour{0.35, 0.15, 0.08} : Colour{0.08, 0.14, 0.45};
}

}  // namespace

SheetCamera CameraOf(const View& view, const Sheet& sheet, int width, int height) {
  SheetCamera camera;
  camera.centre = {0.5 * (width - 1), 0.5 * (height - 1)};
  camera.focal_px = 0.74 * std::max(width, height);
  camera.k1 = view.k1;
  const Rotation roll(RadFromDeg(view.roll_deg)), tx(RadFromDeg(view.tilt_x_deg)), ty(RadFromDeg(view.tilt_y_deg));
  double distance = 2 * sheet.width_mm;
  for (int round = 0; round < 12; ++round) {
    // Sheet about its middle, turned in its plane, then tilted about x and y.
    const double f = camera.focal_px;
    std::array<std::array<double, 3>, 3> m{};
    for (int column = 0; column < 3; ++column) {
      const Point in = column == 0 ? Point{1, 0} : column == 1 ? Point{0, 1} : Point{-0.5 * sheet.width_mm, -0.5 * sheet.height_mm};
      const Point flat = roll * in;
      const double y = tx.c * flat.y, z1 = tx.s * flat.y;
      const double x = ty.c * flat.x + ty.s * z1, z = -ty.s * flat.x + ty.c * z1 + (column == 2 ? distance : 0);
      const auto c = static_cast<std::size_t>(column);
      m[0][c] = f * x + camera.centre.x * z;
      m[1][c] = f * y + camera.centre.y * z;
      m[2][c] = z;
    }
    for (std::size_t i = 0; i < 9; ++i) camera.h[i] = m[i / 3][i % 3] / m[2][2];
    double reach = 0;
    for (const Point corner : {Point{0, 0}, Point{sheet.width_mm, 0}, Point{sheet.width_mm, sheet.height_mm}, Point{0, sheet.height_mm}}) {
      const Point p = camera.PhotoFromSheet(corner) - camera.centre;
      reach = std::max({reach, std::abs(p.x) / (0.5 * width), std::abs(p.y) / (0.5 * height)});
    }
    distance *= std::pow(reach / view.fill, 0.9);
  }
  // A shift of the ideal picture: moves the sheet without changing its size.
  for (std::size_t i = 0; i < 3; ++i) {
    camera.h[i] += view.shift.x * camera.h[6 + i];
    camera.h[3 + i] += view.shift.y * camera.h[6 + i];
  }
  return camera;
}

Photo Draw(const Drawing& d) {
  cv::Mat light(d.height, d.width, CV_32FC3);
  const auto inverse = InvertHomography(d.camera.h);
  SheetCamera lens = d.camera;
  lens.h = {1, 0, 0, 0, 1, 0, 0, 0, 1};  // Photo to ideal: the camera with no plane.
  const double w = d.sheet.width_mm, h = d.sheet.height_mm;
  const auto colour_at = [&](Point p, double* depth) {
    Point mm = ApplyHomography(inverse, lens.SheetFromPhoto(p));
    const double px_per_mm = 1.0 / std::max(1e-6, 1.0 / d.camera.h[0]);
    if (d.cockle_px > 0) {
      const double a = d.cockle_px / std::abs(px_per_mm);
      mm = mm + Point{a * std::sin(mm.y / 19 + 1), a * std::sin(mm.x / 23 + 2)};
    }
    double inside = std::min(std::min(mm.x, w - mm.x), std::min(mm.y, h - mm.y));
    if (d.dog_ear_mm > 0) inside = std::min(inside, (w - mm.x + h - mm.y - d.dog_ear_mm) / std::numbers::sqrt2);
    *depth = inside;
    Colour c = TableLight(d.table, p, d.seed);
    if (inside < 0 && d.shadow > 0) {
      // Light from the top left: the shadow lies below and to the right, over 3 mm.
      const double away = std::max(std::max(-(mm.x), mm.x - w), std::max(-mm.y, mm.y - h));
      const double side = mm.x > w || mm.y > h ? 1.0 : 0.35;
      const double dim = 1 - d.shadow * side * std::exp(-away / 3.0);
      for (double& v : c) v *= dim;
    }
    for (const Clutter& thing : d.clutter) {
      if (Contains(thing.outline_px, p)) c = thing.light;
    }
    if (inside >= 0) c = PrintLight(d, mm, d.paper);
    return c;
  };
  for (int y = 0; y < d.height; ++y) {
    for (int x = 0; x < d.width; ++x) {
      const Point p{double(x), double(y)};
      double depth = 0;
      Colour c = colour_at(p, &depth);
      if (std::abs(depth) < 3 / std::abs(d.camera.h[0]) + (d.clutter.empty() ? 0 : 1)) {
        c = {};
        for (int i = 0; i < 16; ++i) {
          double unused = 0;
          const Colour s = colour_at(p + Point{(i % 4 - 1.5) / 4 + (i / 4 - 1.5) / 16, (i / 4 - 1.5) / 4 + (i % 4 - 1.5) / 16}, &unused);
          for (std::size_t k = 0; k < 3; ++k) c[k] += s[k] / 16;
        }
      }
      const Point from = (2.0 / d.width) * (p - d.camera.centre);
      double scale = 1 - d.falloff * Dot(from, from) / 1.6;
      if (d.cast_shadow > 0) {
        const double along = (p.x + 0.4 * p.y) / d.width;
        scale *= 1 - d.cast_shadow * Smooth(0.5, 0.56, along) * (1 - Smooth(0.95, 1.1, along));
      }
      for (std::size_t k = 0; k < 3; ++k) light.ptr<cv::Vec3f>(y)[x][static_cast<int>(k)] = static_cast<float>(c[k] * scale);
    }
  }
  if (d.blur_px > 0) cv::GaussianBlur(light, light, {0, 0}, d.blur_px);
  if (d.noise > 0) {
    cv::RNG rng(d.seed);
    cv::Mat noise(light.size(), CV_32FC3), root;
    rng.fill(noise, cv::RNG::NORMAL, 0.0, d.noise);
    cv::sqrt(light, root);
    light += noise.mul(root);
  }
  Photo photo;
  photo.name = "drawn.jpg";
  photo.bgr.create(light.size(), CV_8UC3);
  for (int y = 0; y < d.height; ++y) {
    for (int x = 0; x < d.width; ++x) {
      for (int k = 0; k < 3; ++k) {
        const double v = std::clamp(double(light.ptr<cv::Vec3f>(y)[x][k]), 0.0, 1.0);
        const double coded = v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
        photo.bgr.ptr<cv::Vec3b>(y)[x][k] = static_cast<unsigned char>(std::lround(255 * coded));
      }
    }
  }
  return photo;
}

FrameError Compare(const SheetCamera& found, const SheetCamera& truth, const Sheet& sheet) {
  FrameError error;
  double sum = 0;
  for (int i = 0; i < 81; ++i) {
    const Point mm{sheet.width_mm * (i % 9) / 8, sheet.height_mm * (i / 9) / 8};
    const double off = Norm(found.SheetFromPhoto(truth.PhotoFromSheet(mm)) - mm);
    sum += off * off;
    error.worst_mm = std::max(error.worst_mm, off);
  }
  error.rms_mm = std::sqrt(sum / 81);
  return error;
}

}  // namespace truepull::testing
