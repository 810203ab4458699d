// SPDX-License-Identifier: Apache-2.0
// The light that falls on table and sheet.
#ifndef TRUEPULL_RENDER_LIGHT_H_
#define TRUEPULL_RENDER_LIGHT_H_

#include <cstdint>

#include "render/ink.h"
#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::render {

class Light {
 public:
  Light(const Sheet& sheet, const LightFaults& faults, std::uint64_t seed);
  /// Strength at a place of the table (mm, sheet frame), 1 = full. Smooth over 10 mm.
  double At(Point p) const;
  /// The lamp's colour.
  Rgb Tint() const;
  /// Brighter or darker where the paper leans towards or away from the lamp.
  double Shade(Point slope) const;
  /// Unit direction along the table from which the light comes.
  Point From() const { return from_; }

 private:
  LightFaults faults_;
  std::uint32_t seed_;
  Point middle_, from_;
  double size_ = 1;
  Point band_across_;      // Normal of the shadow's edges.
  double band_at_ = 0, band_half_ = 1, band_soft_ = 1, band_soft_far_ = 1;
};

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_LIGHT_H_
