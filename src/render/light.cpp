// SPDX-License-Identifier: Apache-2.0
#include "render/light.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "render/random.h"

namespace truepull::render {

Light::Light(const Sheet& sheet, const LightFaults& faults, std::uint64_t seed)
    : faults_(faults),
      seed_(Key32(seed, Stream::kLight)),
      middle_{sheet.width_mm / 2, sheet.height_mm / 2},
      size_(std::max(sheet.width_mm, sheet.height_mm)) {
  Random chance(Key(seed, Stream::kLight));
  const double from = chance.Uniform(0, 2 * std::numbers::pi);
  from_ = {std::cos(from), std::sin(from)};
  // An arm's or a phone's shadow: a broad soft band, one side softer than the other.
  const double way = chance.Uniform(-0.5, 0.5);
  band_across_ = {std::cos(way), std::sin(way)};
  band_at_ = chance.Uniform(-0.25, 0.25) * size_;
  band_half_ = chance.Uniform(0.12, 0.22) * size_;
  band_soft_ = chance.Uniform(0.03, 0.06) * size_;
  band_soft_far_ = chance.Uniform(0.06, 0.14) * size_;
}

double Light::At(Point p) const {
  const Point d = p - middle_;
  double light = 1;
  if (faults_.uneven > 0) {
    const Point q = (1 / size_) * d;
    light += faults_.uneven * (0.55 * Dot(q, from_) - 0.45 * Dot(q, q));
    light = std::max(0.15, light);
  }
  if (faults_.shadow > 0) {
    const auto waver = static_cast<double>(
        ValueNoise(static_cast<float>(d.x / 80), static_cast<float>(d.y / 80), seed_) - 0.5F);
    const double s = Dot(d, band_across_) - band_at_ + 0.08 * size_ * waver;
    const double in = static_cast<double>(
        Smooth(static_cast<float>(-band_half_ - band_soft_), static_cast<float>(-band_half_ + band_soft_),
               static_cast<float>(s)) *
        (1 - Smooth(static_cast<float>(band_half_ - band_soft_far_),
                    static_cast<float>(band_half_ + band_soft_far_), static_cast<float>(s))));
    light *= 1 - faults_.shadow * in;
  }
  return light;
}

Rgb Light::Tint() const {
  const auto w = static_cast<float>(faults_.warmth);
  return {1 + 0.10F * w, 1 - 0.03F * w, 1 - 0.28F * w};
}

double Light::Shade(Point slope) const {
  // Lambert under a lamp about 35 degrees above the horizon at the side.
  return std::max(0.3, 1 - 1.1 * Dot(slope, from_));
}

}  // namespace truepull::render
