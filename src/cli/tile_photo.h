// SPDX-License-Identifier: Apache-2.0
// Tiles out of a photo: the sheet found, their outlines traced, their drawings cut out.
#ifndef TRUEPULL_CLI_TILE_PHOTO_H_
#define TRUEPULL_CLI_TILE_PHOTO_H_

#include <filesystem>
#include <string>
#include <vector>

#include "cli/progress_line.h"
#include "truepull/template_pages.h"
#include "truepull/tile_text.h"

namespace truepull {

/// What the flags say of photos.
struct TilePhotoOptions {
  std::string seen;          // paper, printing-face, plate-back; empty: not said.
  std::string sheet;         // The sheet the tile lies on: a name or WIDTHxHEIGHT.
  double scale = 0;          // Instead: pixels to the millimetre, seen from straight above.
  double line_width_mm = 0;  // Of a line drawn with its middle on the edge.
};

/// A traced tile, in the frame in which it prints.
struct PhotoTile {
  TileInput input;
  TracedFrom from;
  Outline on_sheet;          // As photographed, sheet frame, mm.
  TileDrawing drawing;
};

struct TilesOfPhoto {
  std::vector<PhotoTile> tiles;
  std::vector<std::string> findings, notes;
};

/// Whether the flags say what a photo needs to be traced; the sentence says why not.
Status CheckPhotoOptions(const std::string& name, const TilePhotoOptions& options);

Result<TilesOfPhoto> TilesInPhoto(const std::filesystem::path& file, const TilePhotoOptions& options, ProgressLine& progress);

}  // namespace truepull

#endif  // TRUEPULL_CLI_TILE_PHOTO_H_
