// SPDX-License-Identifier: Apache-2.0
// How much ink each pull left, and of which colour: coverage, strength, body colour.
#ifndef TRUEPULL_SRC_DETECT_INK_H_
#define TRUEPULL_SRC_DETECT_INK_H_

#include <string>
#include <vector>

#include "detect/edge_fit.h"
#include "detect/paper_light.h"

namespace truepull::detect {

struct Ink {
  double coverage = 0;      // Share of the outline's area denser than a quarter of full.
  double strength = 0;      // Mean density, shares of a full pull of that colour here.
  double solid = 0;         // Mean density of the channels where the body is well covered.
  double full = 0;          // The same of a full pull of its colour here.
  std::string body_colour;  // "#rrggbb" as it would look on white paper in even light.
  int colour = -1;          // Nearest of the plan's colours by hue of density; -1 = none.
  // Only what no other pull's outline covers: its share of the outline, and its coverage.
  double alone = 1;
  double alone_coverage = 0;
  bool on_sheet = true;     // Less than a tenth of the outline on the sheet: false.
};

/// Measures the ink inside every present pull's outline, in the photo itself.
///
/// A full pull's density is that of the sheet's own strongest pulls of the same colour:
/// density adds up with the deposit (Beer-Lambert), so hue of density stays while its
/// size tells how much. With one pull of a colour, that pull is its own measure, unless
/// another colour's pulls show that it is far paler.
std::vector<Ink> MeasureInk(const Photo& photo, const SheetCamera& camera,
                            const PaperLight& paper, const std::vector<Pull>& pulls,
                            const std::vector<std::string>& plan_colours,
                            double sheet_width_mm, double sheet_height_mm);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_INK_H_
