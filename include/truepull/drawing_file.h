// SPDX-License-Identifier: Apache-2.0
// The drawing inside a tile as a file of its own, beside the plan or the tile file that names it.
#ifndef TRUEPULL_DRAWING_FILE_H_
#define TRUEPULL_DRAWING_FILE_H_

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

/// Reads the SVG `file` in `folder`, whose lines are as they print, tile frame, mm.
/// from   The name of the file that asks for it, for messages.
/// Fails with kUnreadableFile or kInvalidFile (ParseSvgDrawing), or where nothing is drawn in it.
Result<std::vector<DrawnLine>> LoadDrawing(const std::filesystem::path& folder, const std::string& file,
                                           const std::string& from);

/// Fills in what the plates of a plan have drawn inside. Fails as LoadDrawing.
Status LoadDrawings(const std::filesystem::path& folder, const std::string& from, Plan& plan);

/// Lines as an SVG that LoadDrawing reads back to 0.001 mm: user units are mm of the tile frame.
std::string WriteDrawing(std::span<const DrawnLine> lines);

/// The drawings of a plan as files to stand beside it, each once.
std::vector<std::pair<std::string, std::string>> DrawingFiles(const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_DRAWING_FILE_H_
