// SPDX-License-Identifier: Apache-2.0
// Chance that repeats: keyed generators and hashed noise, the same on every machine.
//
// The standard library's distributions differ between libraries, so none is used.
#ifndef TRUEPULL_RENDER_RANDOM_H_
#define TRUEPULL_RENDER_RANDOM_H_

#include <cmath>
#include <cstdint>
#include <numbers>

namespace truepull::render {

/// What a stream of chance is for; keeps the faults independent of one another.
enum class Stream : std::uint64_t {
  kHand = 1, kState, kInk, kCockle, kPaper, kTable, kClutter, kLight, kSensor, kMarks,
  kPreset, kSecondHand, kSecondInk, kTape, kMargin,
};

/// Finaliser of SplitMix64 (Steele, Lea and Flood 2014): every input bit moves every
/// output bit.
inline std::uint64_t Mix(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15ULL;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
  x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
  return x ^ (x >> 31);
}

inline std::uint64_t Key(std::uint64_t seed, Stream stream, int a = 0, int b = 0) {
  std::uint64_t k = Mix(seed ^ Mix(static_cast<std::uint64_t>(stream)));
  k = Mix(k ^ static_cast<std::uint32_t>(a));
  return Mix(k ^ (static_cast<std::uint64_t>(static_cast<std::uint32_t>(b)) << 32));
}

inline std::uint32_t Key32(std::uint64_t seed, Stream stream, int a = 0, int b = 0) {
  return static_cast<std::uint32_t>(Key(seed, stream, a, b) >> 16);
}

/// Later passes draw their chance from rows of their own, so that one more pass changes none before.
inline int RowOfPass(std::size_t which) { return 100'000 * static_cast<int>(which); }

class Random {
 public:
  explicit Random(std::uint64_t key) : state_(key) {}

  std::uint64_t Next() { return Mix(state_++); }
  /// In [0, 1).
  double Uniform() { return static_cast<double>(Next() >> 11) * 0x1p-53; }
  double Uniform(double low, double high) { return low + (high - low) * Uniform(); }
  bool Chance(double share) { return Uniform() < share; }
  int Below(int n) { return static_cast<int>(Uniform() * n); }
  /// Standard normal (Box and Muller 1958, one of the pair).
  double Normal() {
    const double r = std::sqrt(-2 * std::log(1 - Uniform()));
    return r * std::cos(2 * std::numbers::pi * Uniform());
  }

 private:
  std::uint64_t state_;
};

inline std::uint32_t HashCell(std::int32_t x, std::int32_t y, std::uint32_t seed) {
  std::uint32_t h = static_cast<std::uint32_t>(x) * 0x8da6b343U ^
                    static_cast<std::uint32_t>(y) * 0xd8163841U ^ seed;
  h = (h ^ (h >> 15)) * 0x2c1b3c6dU;
  h = (h ^ (h >> 12)) * 0x297a2d39U;
  return h ^ (h >> 15);
}

/// std::floor as a whole number; without SSE 4.1 the library's is a call.
inline std::int32_t FloorInt(float v) {
  const auto i = static_cast<std::int32_t>(v);
  return i - (static_cast<float>(i) > v ? 1 : 0);
}

/// Smooth noise in [0, 1], mean 0.5, one feature to the unit.
inline float ValueNoise(float x, float y, std::uint32_t seed) {
  const std::int32_t ix = FloorInt(x), iy = FloorInt(y);
  float tx = x - static_cast<float>(ix), ty = y - static_cast<float>(iy);
  tx = tx * tx * (3 - 2 * tx);
  ty = ty * ty * (3 - 2 * ty);
  const auto at = [&](std::int32_t i, std::int32_t j) {
    return static_cast<float>(HashCell(i, j, seed) >> 8) * 0x1p-24F;
  };
  const float top = at(ix, iy) + tx * (at(ix + 1, iy) - at(ix, iy));
  const float bottom = at(ix, iy + 1) + tx * (at(ix + 1, iy + 1) - at(ix, iy + 1));
  return top + ty * (bottom - top);
}

/// Three octaves of it, for clouds and stone; in [0, 1].
inline float CloudNoise(float x, float y, std::uint32_t seed) {
  return 0.55F * ValueNoise(x, y, seed) + 0.28F * ValueNoise(2.03F * x, 2.03F * y, seed + 1) +
         0.17F * ValueNoise(4.1F * x, 4.1F * y, seed + 2);
}

inline float Clamp01(float v) { return v < 0 ? 0 : (v > 1 ? 1 : v); }

/// 0 below a, 1 above b, smooth between.
inline float Smooth(float a, float b, float v) {
  const float t = Clamp01((v - a) / (b - a));
  return t * t * (3 - 2 * t);
}

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_RANDOM_H_
