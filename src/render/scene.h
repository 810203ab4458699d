// SPDX-License-Identifier: Apache-2.0
// Everything that the camera looks at: table, sheet, pulls; and how much light comes
// from a place of it.
#ifndef TRUEPULL_RENDER_SCENE_H_
#define TRUEPULL_RENDER_SCENE_H_

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "render/ink.h"
#include "render/light.h"
#include "render/paper.h"
#include "render/table.h"

namespace truepull::render {

class Scene {
 public:
  /// Pulls in the order in which they were printed.
  Scene(const Plan& plan, const RenderOptions& options, std::vector<Pull> pulls,
        std::size_t first_pass_pulls);

  const Paper& paper() const { return paper_; }
  const Light& light() const { return light_; }

  /// How many samples across a pixel a place needs. sheet: the place on the cockled
  /// sheet; table: what is there when the sheet is not.
  int SamplesAt(Point sheet, Point table, double pixel_mm) const;
  /// Reflectance there, averaged over a square of width_mm, as far as edges are
  /// concerned. shade: of the leaning paper.
  Rgb Colour(Point sheet, Point table, float width_mm, float shade) const;

 private:
  std::span<const std::uint16_t> PullsNear(Point sheet) const;
  Rgb SheetColour(Point sheet, float width_mm) const;
  Rgb TableColour(Point table, float width_mm) const;
  Point OnSecondSheet(Point table) const;
  void SortPulls();

  RenderOptions options_;
  double width_, height_;
  Paper paper_;
  Table table_;
  Light light_;
  InkFaults later_faults_;
  std::vector<Pull> pulls_;
  std::size_t first_pass_pulls_;
  bool textured_;      // Ink that varies from place to place.
  bool plain_table_;
  int cells_across_ = 0, cells_down_ = 0;
  std::vector<std::uint32_t> cell_start_;
  std::vector<std::uint16_t> cell_pulls_;
};

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_SCENE_H_
