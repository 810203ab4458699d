// SPDX-License-Identifier: Apache-2.0
#include "truepull/marker_cards.h"

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr double kMostApartMm = 110;  // Every 12-megapixel photo of a corner has two or more.

// Markers from one corner of the frame towards the next, the next corner's left out.
void AddSide(Point from, Point to, int& id, std::vector<PlacedMarker>& out) {
  const int steps = std::max(1, static_cast<int>(std::ceil(Norm(to - from) / kMostApartMm - 1e-9)));
  for (int i = 0; i < steps; ++i) {
    out.push_back({id++, from + (static_cast<double>(i) / steps) * (to - from), kSheetFrameMarkerMm});
  }
}

}  // namespace

std::array<Point, 4> MarkerCorners(const PlacedMarker& m) {
  return {m.top_left, m.top_left + Point{m.side_mm, 0}, m.top_left + Point{m.side_mm, m.side_mm},
          m.top_left + Point{0, m.side_mm}};
}

std::vector<PlacedMarker> FrameCard(int card) {
  constexpr double kFromEdge = (kFrameCardWidthMm - 3 * kFrameCardPitchMm - kFrameCardMarkerMm) / 2;
  std::vector<PlacedMarker> out;
  for (int i = 0; i < kMarkersOnACard; ++i) {
    out.push_back({kFrameCardFirstId + kMarkersOnACard * card + i,
                   {kFromEdge + kFrameCardPitchMm * i, (kFrameCardHeightMm - kFrameCardMarkerMm) / 2},
                   kFrameCardMarkerMm});
  }
  return out;
}

std::vector<PlacedMarker> MarkersRoundSheet(double width_mm, double height_mm) {
  // Top left corners of the four corner markers.
  const double off = kSheetFrameOffMm + kSheetFrameMarkerMm;
  const Point tl{-off, -off}, tr{width_mm + kSheetFrameOffMm, -off},
      br{width_mm + kSheetFrameOffMm, height_mm + kSheetFrameOffMm}, bl{-off, height_mm + kSheetFrameOffMm};
  std::vector<PlacedMarker> out;
  int id = kSheetFrameFirstId;
  AddSide(tl, tr, id, out);
  AddSide(tr, br, id, out);
  AddSide(br, bl, id, out);
  AddSide(bl, tl, id, out);
  return out;
}

std::array<Point, 4> MarginMarks(double width_mm, double height_mm) {
  const double in = kMarginMarkInMm;
  return {Point{in, in}, {width_mm - in, in}, {width_mm - in, height_mm - in}, {in, height_mm - in}};
}

}  // namespace truepull
