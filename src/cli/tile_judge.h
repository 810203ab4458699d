// SPDX-License-Identifier: Apache-2.0
// A tile judged: whether and how it repeats, closed where it nearly does, and what is weak.
#ifndef TRUEPULL_CLI_TILE_JUDGE_H_
#define TRUEPULL_CLI_TILE_JUDGE_H_

#include <string>
#include <vector>

#include "truepull/template_pages.h"
#include "truepull/tile_text.h"
#include "truepull/tiling.h"

namespace truepull {

/// What tile.yaml and the pages are made from.
struct JudgedTile {
  TileReport report;
  std::vector<WeakPlace> weak_places;
  std::vector<Point> faults;
  std::vector<std::string> notes;  // Worth knowing; no reason to look.
  TileDrawing drawing;
  double worst_mm = 0;             // Of the misfits, where the outline was not exact ...
  std::string worst;               // ... and in words.
  LatticeSteps nearest_steps;      // Of one that does not repeat: the way that is nearest.
  std::vector<CellMember> nearest_cell;
  std::vector<std::string> edges;  // Which edges meet which, and how.
};

/// Judges a tile. Of a traced one (`from`) that it was cut a little off is no finding: the
/// report says how far and where.
Result<JudgedTile> JudgeTile(const TileInput& input, double tolerance_mm, const TracedFrom* from = nullptr);

/// Its template.
TemplateRequest TemplateOf(const JudgedTile& tile, const std::string& title);

/// "0, 90, -90": how the tiles of a cell are turned, in degrees.
std::string TurnsInWords(const std::vector<CellMember>& cell);

}  // namespace truepull

#endif  // TRUEPULL_CLI_TILE_JUDGE_H_
