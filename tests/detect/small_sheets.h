// SPDX-License-Identifier: Apache-2.0
// Small clean sheets that are rendered and measured in a second or two.
#ifndef TRUEPULL_TESTS_DETECT_SMALL_SHEETS_H_
#define TRUEPULL_TESTS_DETECT_SMALL_SHEETS_H_

#include <gtest/gtest.h>

#include "support/made_photos.h"
#include "support/made_plans.h"
#include "support/truth_comparison.h"

namespace truepull::testing {

/// Three rows of four on a sheet of 200 x 150 mm.
inline Plan SmallWaves() { return WavesOn(200, 150, 3, 4, 40, 34); }
inline Plan SmallRectangles() { return RectanglesOn(200, 150, 3, 4, 40, 34); }

/// 1.9 megapixels, 6.7 px to the mm; a dark table, even light, a steady camera, crayon with
/// its edge band, and a hand that strays by 0.8 mm and 0.5 degrees.
inline RenderOptions CleanSmall(std::uint64_t seed) {
  RenderOptions options;
  options.seed = seed;
  options.width_px = 1600;
  options.height_px = 1200;
  options.hand.sd_shift_mm = 0.8;
  options.hand.sd_turn_rad = RadFromDeg(0.5);
  options.ink.edge_ring_mm = 2;
  options.camera.tilt_rad = RadFromDeg(5);
  options.camera.k1 = 0.02;
  options.camera.blur_px = 0.7;
  options.camera.noise = 0.004;
  return options;
}

/// The same as an easy sheet is pulled: mottled crayon, edges a little ragged, and the hand
/// of `simulate --like easy`. Touching bands of one dark colour flow together here.
inline RenderOptions EasySmall(std::uint64_t seed) {
  RenderOptions options = CleanSmall(seed);
  options.hand.sd_shift_mm = 0.6;
  options.hand.sd_turn_rad = RadFromDeg(0.3);
  options.ink.mottle = 0.62;
  options.ink.ragged_mm = 0.07;
  options.ink.strength_sd = 0.06;
  options.ink.motif = Motif::kGull;
  return options;
}

/// Renders, packs, decodes and measures; a refusal fails the test.
inline Comparison Measured(const Plan& plan, const RenderOptions& options, SheetReading* reading_out = nullptr) {
  const MadePhoto photo = MakePhoto(plan, options);
  const auto reading = ReadPhoto(photo.jpeg, plan);
  if (!reading) {
    ADD_FAILURE() << reading.error().message;
    return Refused(photo.truth);
  }
  if (reading_out != nullptr) *reading_out = *reading;
  return Compare(plan, photo.truth, *reading);
}

/// Prints a row of figures, so that a run's log shows how near a bound is.
inline Figures Show(const char* what, const Comparison& c) {
  const Figures f = Summarise(c);
  std::printf("%s: %d of %d found, rms %.3f mm, worst %.3f mm, turn rms %.3f deg, mean z2 %.2f\n", what,
              static_cast<int>(c.errors.size()), c.present, f.rms_mm, f.worst_mm, f.turn_rms_deg, f.z_squared);
  return f;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_DETECT_SMALL_SHEETS_H_
