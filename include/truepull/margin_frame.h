// SPDX-License-Identifier: Apache-2.0
// The sheet's frame from the crosses in its margin, for sheets whose edges cannot be trusted.
#ifndef TRUEPULL_MARGIN_FRAME_H_
#define TRUEPULL_MARGIN_FRAME_H_

#include <array>

#include "truepull/photo.h"

namespace truepull {

struct MarginFrame {
  SheetFrame frame;                     // Notes say what the edges would have said.
  bool way_up_known = false;            // The ringed mark was seen: the sheet's top left corner.
  std::array<bool, 4> seen{};           // Marks in the order of MarginMarks (truepull/marker_cards.h).
  std::array<double, 4> off_mm{};       // How far off its place the rough frame shows each; 0 if not seen.
};

/// Looks for the four marks that `next --marks` has made (MarginMarks) near their planned places, and
/// fits homography and distortion to them.
///
/// rough   The sheet by its edges (FindSheet), or by given points: where to look, within 7 mm. Of it
///         nothing else counts where all four marks are seen, but for the lens (k1, held with twice
///         the spread that the edges leave it, for marks near the corners say nothing of it).
/// A mark's place is taken to be known on the paper to 0.1 mm each way (a stroke along a stencil; not
/// measured), and in the photo as its strokes show. A mark that is not seen is a finding: its corner then
/// goes by the three others and the shape that the rough frame has there, with 1 mm of uncertainty.
/// The ringed mark says which corner is the top left; the rough frame may be turned against it.
///
/// Fails with kSheetNotFound when fewer than three marks are seen.
Result<MarginFrame> FrameFromMargin(const Photo& photo, const Sheet& sheet, const SheetFrame& rough);

}  // namespace truepull

#endif  // TRUEPULL_MARGIN_FRAME_H_
