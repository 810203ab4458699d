// SPDX-License-Identifier: Apache-2.0
// From files and photos to judged tiles, and from these to what is written.
#ifndef TRUEPULL_CLI_TILE_JOB_H_
#define TRUEPULL_CLI_TILE_JOB_H_

#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "cli/tile_judge.h"
#include "cli/tile_photo.h"
#include "truepull/verdict_page.h"

namespace truepull {

/// One file's tiles: of a drawing or a typed one, one; of a photo, as many as it shows.
struct FileTiles {
  struct One {
    Result<JudgedTile> tile;
    Outline on_sheet;              // Of a traced one.
  };
  std::string name;
  std::vector<One> tiles;
  std::vector<std::string> findings, notes;
};

/// Reads and judges one file. Fails where the file itself cannot be used; a single tile of a
/// photo that cannot be judged is an error in its place.
Result<FileTiles> TilesOfFile(const std::filesystem::path& file, double tolerance_mm, const TilePhotoOptions& options, bool quiet);

/// One tile out of several photos of it: the mean of their outlines, judged. Fails where a photo
/// shows several tiles, or another one.
Result<FileTiles> TileOfSeveralPhotos(const std::vector<std::filesystem::path>& photos, double tolerance_mm, const TilePhotoOptions& options, bool quiet);

/// The files that words on the command line stand for: themselves, or a folder's drawings,
/// tile files and photos in order of name.
Result<std::vector<std::filesystem::path>> TileFilesIn(const std::vector<std::string>& given);

/// Names and bytes of files to write.
using FilesToWrite = std::vector<std::pair<std::string, std::string>>;

/// tile.yaml, template.pdf, its pages as SVG, tile.png and, of a traced one, traced.csv.
Result<FilesToWrite> WriteOneTile(const FileTiles::One& one, const std::string& name);

/// verdicts.html, verdicts.csv, templates.pdf and a tile file for each code.
struct ClassOutput {
  FilesToWrite files;
  std::vector<TileVerdict> verdicts;
};
Result<ClassOutput> WriteClass(const std::vector<std::pair<std::string, Result<FileTiles>>>& files, const std::string& title);

}  // namespace truepull

#endif  // TRUEPULL_CLI_TILE_JOB_H_
