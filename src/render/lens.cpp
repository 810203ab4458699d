// SPDX-License-Identifier: Apache-2.0
#include "render/lens.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "render/random.h"
#include "truepull/colour.h"

namespace truepull::render {
namespace {

constexpr int kEncodeSteps = 1 << 15;  // Under a fifth of a code even in the darks.

const std::array<unsigned char, kEncodeSteps + 1>& EncodeTable() {
  static const auto table = [] {
    std::array<unsigned char, kEncodeSteps + 1> t{};
    for (int i = 0; i <= kEncodeSteps; ++i) {
      const double v = static_cast<double>(i) / kEncodeSteps;
      t[static_cast<std::size_t>(i)] = static_cast<unsigned char>(std::lround(255 * CodedOfLinear(v)));
    }
    return t;
  }();
  return table;
}

std::vector<float> GaussianTaps(double sigma) {
  const int reach = static_cast<int>(std::ceil(3.5 * sigma));
  std::vector<float> taps;
  double sum = 0;
  for (int i = -reach; i <= reach; ++i) sum += std::exp(-0.5 * i * i / (sigma * sigma));
  for (int i = -reach; i <= reach; ++i) {
    taps.push_back(static_cast<float>(std::exp(-0.5 * i * i / (sigma * sigma)) / sum));
  }
  return taps;
}

void BlurGaussian(Strip& strip, double sigma) {
  const std::vector<float> taps = GaussianTaps(sigma);
  const int reach = static_cast<int>(taps.size() / 2);
  const std::ptrdiff_t line = static_cast<std::ptrdiff_t>(strip.width) * 3;
  std::vector<float> passed(strip.light.size(), 0.0F);
  for (int y = 0; y < strip.height; ++y) {
    const float* from = strip.Row(y);
    float* to = passed.data() + y * line;
    for (std::ptrdiff_t x = 3 * reach; x < line - 3 * reach; ++x) {
      float sum = 0;
      for (int k = -reach; k <= reach; ++k) {
        sum += taps[static_cast<std::size_t>(k + reach)] * from[x + 3 * k];
      }
      to[x] = sum;
    }
  }
  for (int y = reach; y < strip.height - reach; ++y) {
    float* to = strip.Row(y);
    std::fill(to, to + line, 0.0F);
    for (int k = -reach; k <= reach; ++k) {
      const float tap = taps[static_cast<std::size_t>(k + reach)];
      const float* from = passed.data() + (y + k) * line;
      for (std::ptrdiff_t x = 0; x < line; ++x) to[x] += tap * from[x];
    }
  }
}

void Smear(Strip& strip, double length, double towards) {
  const int reach = static_cast<int>(std::ceil(length / 2)) + 1;
  const int taps = std::max(3, 2 * static_cast<int>(std::ceil(length)) + 1);
  const std::vector<float> before = strip.light;
  const std::ptrdiff_t line = static_cast<std::ptrdiff_t>(strip.width) * 3;
  std::fill(strip.light.begin(), strip.light.end(), 0.0F);
  for (int k = 0; k < taps; ++k) {
    // Midpoints of equal parts of the path: the smear's middle stays where it was.
    const double s = ((k + 0.5) / taps - 0.5) * length;
    const double dx = s * std::cos(towards), dy = s * std::sin(towards);
    const int ix = static_cast<int>(std::floor(dx)), iy = static_cast<int>(std::floor(dy));
    const auto fx = static_cast<float>(dx - ix), fy = static_cast<float>(dy - iy);
    const float a = (1 - fx) * (1 - fy) / static_cast<float>(taps);
    const float b = fx * (1 - fy) / static_cast<float>(taps);
    const float c = (1 - fx) * fy / static_cast<float>(taps);
    const float d = fx * fy / static_cast<float>(taps);
    for (int y = reach; y < strip.height - reach; ++y) {
      const float* top = before.data() + (y + iy) * line + 3 * ix;
      const float* low = top + line;
      float* to = strip.Row(y);
      for (std::ptrdiff_t x = 3 * reach; x < line - 3 * reach; ++x) {
        to[x] += a * top[x] + b * top[x + 3] + c * low[x] + d * low[x + 3];
      }
    }
  }
}

}  // namespace

int LensMargin(const CameraFaults& faults) {
  int margin = 0;
  if (faults.blur_px > 0) margin += static_cast<int>(std::ceil(3.5 * faults.blur_px));
  if (faults.motion_px > 0) margin += static_cast<int>(std::ceil(faults.motion_px / 2)) + 2;
  return margin;
}

void Blur(Strip& strip, const CameraFaults& faults) {
  if (faults.blur_px > 0) BlurGaussian(strip, faults.blur_px);
  if (faults.motion_px > 0) Smear(strip, faults.motion_px, faults.motion_towards_rad);
}

void Expose(const Strip& strip, const RenderOptions& options, int first, int last,
            unsigned char* bgr, std::size_t bytes_per_row) {
  const auto& encode = EncodeTable();
  const CameraFaults& camera = options.camera;
  const auto noise = static_cast<float>(camera.noise);
  const float cx = static_cast<float>(options.width_px - 1) / 2;
  const float cy = static_cast<float>(options.height_px - 1) / 2;
  const float corner2 = cx * cx + cy * cy + 1;
  const std::uint32_t seed = Key32(options.seed, Stream::kSensor);
  for (int y = first; y < last; ++y) {
    const float* from = strip.Row(y - strip.top) + static_cast<std::ptrdiff_t>(-strip.left) * 3;
    unsigned char* to = bgr + static_cast<std::size_t>(y) * bytes_per_row;
    const float dy = static_cast<float>(y) - cy;
    for (int x = 0; x < options.width_px; ++x, from += 3, to += 3) {
      const float dx = static_cast<float>(x) - cx;
      const float gain = 1 - static_cast<float>(camera.vignetting) * (dx * dx + dy * dy) / corner2;
      const std::uint64_t bits =
          noise > 0 ? Mix((static_cast<std::uint64_t>(HashCell(x, y, seed)) << 32) | static_cast<std::uint32_t>(x + 65536 * y))
                    : 0;
      for (int k = 0; k < 3; ++k) {
        float v = gain * from[k];
        if (noise > 0) {
          // Sum of three 7-bit numbers: near enough to normal, and exact everywhere.
          const auto b = static_cast<std::uint32_t>(bits >> (21 * k));
          const auto sum = static_cast<float>((b & 127) + ((b >> 7) & 127) + ((b >> 14) & 127));
          const float normal = (sum - 190.5F) / 64.0F;
          // Shot noise over a little read noise.
          v += noise * std::sqrt(std::max(v, 0.0F) + 0.01F) * normal;
        }
        to[2 - k] = encode[static_cast<std::size_t>(Clamp01(v) * kEncodeSteps + 0.5F)];
      }
    }
  }
}

}  // namespace truepull::render
