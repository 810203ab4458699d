// SPDX-License-Identifier: Apache-2.0
// One pull's colour on the paper: how much of it lies where, and what light it lets by.
//
// Inks are transparent: a deposit of D full pulls lets R^D of the light by, R being the
// colour's reflectance, and inks that lie over one another multiply. Shares of a pixel
// that an edge cuts are mixed as light, not as ink, so that edges keep their place.
#ifndef TRUEPULL_RENDER_INK_H_
#define TRUEPULL_RENDER_INK_H_

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "render/distance_map.h"
#include "render/true_poses.h"
#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::render {

using Rgb = std::array<float, 3>;  // Linear light.

/// Linear light of "#rrggbb"; a text that is no colour gives a mid grey.
Rgb LinearFromHex(const std::string& hex);

/// What all pulls of one plate (and one way round) share.
struct PlateArt {
  Outline outline;
  DistanceMap edge;      // To the outline, positive inside.
  DistanceMap scratches;
  DistanceMap carving;
};

struct Pull {
  Point at;
  std::array<double, 4> tile_from_sheet{1, 0, 0, 1};
  double mm_per_tile_mm = 1;     // Scale from tile to sheet.
  std::shared_ptr<const PlateArt> art;
  Rgb body{}, ring{}, line{};    // Optical densities (-ln R) of a full pull.
  std::uint32_t seed = 0;
  float stroke_c = 1, stroke_s = 0;  // Direction of the strokes.
  float pressure = 1;            // How much of the tooth it reaches.
  float strength = 1;            // Deposit where it does.
  float hiding = 0;              // Share of what lies beneath that a full deposit hides.
  float line_depth = 1;          // How cleanly the drawing was scratched.
  float fade_from = 0;           // Direction of the side that fades, radians.
  float fade_reach_mm = 0;
  bool dark_lines = false;
  bool faint = false;            // Ghost or weak: the edge band is hardly there.
};

/// Where a place lies in a pull.
struct PlaceInPull {
  float x = 0, y = 0;   // Tile frame, mm.
  float inside_mm = 0;  // Distance to the edge, on the sheet, positive inside.
};
PlaceInPull Locate(const Pull& pull, double sheet_x, double sheet_y);

/// How far outside its outline a pull can leave colour, mm.
float ReachOutside(const InkFaults& faults);

/// Deposit in full pulls, by kind.
struct Deposit {
  float body = 0, ring = 0, line = 0;
  float Total() const { return body > ring + line ? body : ring + line; }
};

/// Deposit at a place that lies within the (ragged) edge. tooth: paper's height there,
/// 0..1.
Deposit DepositInside(const Pull& pull, const InkFaults& faults, const PlaceInPull& place,
                      float inside_mm, float tooth);

/// Distance inside the edge as it truly printed: ragged.
float RaggedInside(const Pull& pull, const InkFaults& faults, const PlaceInPull& place);

/// Multiplies the light by what the pull lets through. width_mm: side of the sample.
void LayInk(const Pull& pull, const InkFaults& faults, const PlaceInPull& place, float tooth,
            float width_mm, Rgb& light);

/// Makes the pulls of the first pass; missing sites give no value.
std::vector<std::optional<Pull>> MakePulls(const Plan& plan, const RenderOptions& options,
                                           const std::vector<TruePull>& places);

/// Makes the pulls of later pass number `which` (from 0) at the given places.
std::vector<std::optional<Pull>> MakeLaterPulls(const Plan& plan, const RenderOptions& options, std::size_t which,
                                                const std::vector<std::optional<Pose>>& places);

/// Coverage and mean deposit over the outline's area, by a mesh of 0.35 mm.
struct Measured {
  double coverage = 0;
  double deposit = 0;
};
Measured MeasurePull(const Pull& pull, const InkFaults& faults, std::uint32_t paper_seed);

/// Height of the paper's tooth, 0..1.
float PaperTooth(float x_mm, float y_mm, std::uint32_t paper_seed);

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_INK_H_
