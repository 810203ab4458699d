// SPDX-License-Identifier: Apache-2.0
// Finds the sheet in the small picture: gathers candidates and weighs them.
#ifndef TRUEPULL_PHOTO_SHEET_SEARCH_H_
#define TRUEPULL_PHOTO_SHEET_SEARCH_H_

#include <optional>

#include "photo/side_fit.h"
#include "photo/side_search.h"
#include "truepull/plan.h"

namespace truepull {

struct SoughtSheet {
  SeenSheet seen;      // px of the small picture.
  SideFit fit;         // In full photo px, by the coarse points.
  double share = 0;    // Of the picture's area.
  double contradiction = 0;  // ln (ratio seen / ratio planned).
  double score = 0;    // 0 to 1.
};

struct SheetSearch {
  std::optional<SoughtSheet> sheet;     // The best candidate with four sides in the picture.
  std::optional<SoughtSheet> rival;     // The best of those whose sides are others.
  std::optional<SoughtSheet> cut_off;   // The best with a side on the picture's rim.
  std::optional<Quad> beside;           // Another sheet that lies beside the best one, small px.
};

struct SearchOptions {
  Point centre;              // Full photo px.
  double focal_px = 1;
  bool focal_known = false;
  double lens_k1 = 0;        // Look for sides bowed by such a lens.
  bool torn = false;         // Look for torn (deckle) edges, which wander by some px.
  bool dark_sheet = false;   // Look for a sheet darker than its table.
};

SheetSearch SearchSheet(const SmallPicture& small, const Sheet& sheet, const SearchOptions& options);

}  // namespace truepull

#endif  // TRUEPULL_PHOTO_SHEET_SEARCH_H_
