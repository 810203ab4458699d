// SPDX-License-Identifier: Apache-2.0
#include "cli/sheet_place.h"

#include "truepull/margin_frame.h"

namespace truepull {

Result<SheetPlace> PlaceOfSheet(const Photo& photo, const Sheet& sheet, const SheetPlaceBy& by) {
  SheetPlace place;
  if (by.points.empty()) {
    auto found = FindSheet(photo, sheet);
    if (!found) {
      Error error = found.error();
      if (by.margin_marks) error.hint += "; the edges need only show roughly where the margin marks are, and so do four points (--point)";
      return error;
    }
    place.frame = *std::move(found);
  } else {
    auto given = FrameFromPoints(photo, sheet, by.points);
    if (!given) return given.error();
    place.frame = std::move(given->frame);
  }
  if (!by.margin_marks) return place;
  auto margin = FrameFromMargin(photo, sheet, place.frame);
  if (!margin) return margin.error();
  place.frame = std::move(margin->frame);
  place.way_up_known = margin->way_up_known;
  return place;
}

}  // namespace truepull
