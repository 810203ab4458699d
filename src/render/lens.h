// SPDX-License-Identifier: Apache-2.0
// What lens and sensor do to the light: blur, smear, vignetting, noise, eight bits.
#ifndef TRUEPULL_RENDER_LENS_H_
#define TRUEPULL_RENDER_LENS_H_

#include <cstdint>
#include <vector>

#include "truepull/render.h"

namespace truepull::render {

/// A strip of the picture in linear light, three floats to the pixel, with a margin.
struct Strip {
  int left = 0, top = 0;      // Photo place of the first pixel.
  int width = 0, height = 0;
  std::vector<float> light;
  float* Row(int y) { return light.data() + static_cast<std::ptrdiff_t>(y) * width * 3; }
  const float* Row(int y) const {
    return light.data() + static_cast<std::ptrdiff_t>(y) * width * 3;
  }
};

/// Pixels beyond the strip that blur and smear need.
int LensMargin(const CameraFaults& faults);

/// Blurs a strip in place; its margin becomes worthless.
void Blur(Strip& strip, const CameraFaults& faults);

/// Writes the strip's rows [first, last) into 8-bit sRGB, BGR order.
void Expose(const Strip& strip, const RenderOptions& options, int first, int last,
            unsigned char* bgr, std::size_t bytes_per_row);

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_LENS_H_
