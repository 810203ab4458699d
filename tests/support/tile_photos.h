// SPDX-License-Identifier: Apache-2.0
// Imagined photos of tiles that were cut from paper, or of plates, on a plain sheet.
#ifndef TRUEPULL_TESTS_SUPPORT_TILE_PHOTOS_H_
#define TRUEPULL_TESTS_SUPPORT_TILE_PHOTOS_H_

#include <string>
#include <vector>

#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::testing {

/// A tile's place on the sheet.
struct LaidTile {
  Outline outline;   // As it lies there, about its own origin.
  Pose pose;
};

struct TileLook {
  std::string body = "#e8d8a0";     // The tile's own colour; white: a clear plate, or white paper.
  std::string edge = "#403830";     // Of the line drawn round it, inside its edge ...
  double line_mm = 1.2;             // ... and its width; 0: none.
};

/// The sheet with tiles on it as the renderer sees them: each a plate of its own.
Plan TilesOnSheet(double width_mm, double height_mm, const std::vector<LaidTile>& tiles, const TileLook& look);

/// How a phone takes it: tilted by some degrees, lit unevenly, a little blurred and noisy.
RenderOptions PhoneShot(std::uint64_t seed, int width_px, int height_px, const TileLook& look);

/// JPEG of the tiles; throws when it cannot be made.
std::string TilePhoto(const Plan& plan, const RenderOptions& options);

/// Outlines as they lie on the sheet.
std::vector<Outline> OnTheSheet(const std::vector<LaidTile>& tiles);

/// Root mean square and greatest distance of points of `found` from `truth`.
struct OutlineError {
  double rms_mm = 0, worst_mm = 0;
};
OutlineError ErrorOf(const Outline& found, const Outline& truth);

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_TILE_PHOTOS_H_
