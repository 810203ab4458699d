// SPDX-License-Identifier: Apache-2.0
// tile.yaml: a tile as typed or drawn, and what the program found out about it.
#ifndef TRUEPULL_TILE_TEXT_H_
#define TRUEPULL_TILE_TEXT_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/base_shape.h"
#include "truepull/result.h"
#include "truepull/template_pages.h"
#include "truepull/tiling.h"

namespace truepull {

/// What a tile file gives: an outline, or a base shape with what its sides do.
struct TileInput {
  std::string title;
  Outline outline;                    // Empty where `base` holds.
  std::optional<BaseShape> base;
  /// Steps and cell that the file gives beside an outline; not yet proved (RepeatOf does).
  std::optional<BuiltTile> claimed;
  std::vector<DrawnLine> drawing;     // What is drawn inside, where the file itself holds it.
  std::string drawing_file;           // Or the name of the file that does.
};

/// Reads a tile file; docs/formats.md lists its keys. Sides are counted from 1 in it, as on
/// paper. A file that the program wrote is read like one that was typed. Fails with
/// kInvalidFile, naming line and column.
Result<TileInput> ParseTile(std::string_view text, const std::string& name);

/// Where a traced outline comes from, and how far the cut was off.
struct TracedFrom {
  std::string photo, seen;       // "printing-face".
  Point at;                      // The tile's reference point on the sheet, mm.
  bool closed = false;           // It was near enough to a repeat to be closed.
  double rms_mm = 0;             // Of the misfits along the whole edge.
  struct Place {
    std::string words;           // "right side, 38 mm from the top: 1.4 mm short ...".
    double mm = 0;
  };
  std::vector<Place> off;        // The worst of each stretch, worst first.
};

/// What is known of a tile once it was judged.
struct TileReport {
  std::string title;
  Outline outline;
  bool shifts = false, half_turns = false;   // Repeats by shifts; by Conway's criterion.
  bool repeats = false;                      // In some way; the two below hold then.
  LatticeSteps steps;
  std::vector<CellMember> cell;
  std::vector<std::string> findings;
  std::optional<TracedFrom> traced;
  std::string drawing_file;                  // Beside the tile file; empty: none.
  std::vector<Meeting> meetings;             // Which stretches of the outline meet which.
};

/// The text of tile.yaml; numbers to the last digit.
std::string WriteTile(const TileReport& report);

}  // namespace truepull

#endif  // TRUEPULL_TILE_TEXT_H_
