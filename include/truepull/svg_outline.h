// SPDX-License-Identifier: Apache-2.0
// A tile's outline from an SVG drawing in millimetres.
#ifndef TRUEPULL_SVG_OUTLINE_H_
#define TRUEPULL_SVG_OUTLINE_H_

#include <string>
#include <string_view>

#include "truepull/result.h"
#include "truepull/tile_text.h"

namespace truepull {

/// Whether a text begins like an SVG (an XML head or an svg element).
bool LooksLikeSvg(std::string_view text);

/// Takes the outline from a drawing: the path, polygon or rect with the id `outline`, or the
/// only shape there is. Whatever else is drawn (also polylines, lines, circles, ellipses)
/// becomes the drawing inside the tile.
///
/// The drawing must say its size in mm, cm, in or pt and have a view box; user units are
/// turned into mm by the two. Path commands M L H V C S Q T A Z, also relative; groups'
/// and shapes' transforms are applied (matrix, translate, scale, rotate). Curves are
/// flattened to 0.02 mm. Fails with kInvalidFile in plain sentences: no size, no shape,
/// several shapes and none named, more than one closed line, a line whose ends do not meet.
Result<TileInput> ParseSvgOutline(std::string_view text, const std::string& name);

/// The lines of a drawing, without a shape of the id `outline`. Fails as ParseSvgOutline does.
Result<std::vector<DrawnLine>> ParseSvgDrawing(std::string_view text, const std::string& name);

}  // namespace truepull

#endif  // TRUEPULL_SVG_OUTLINE_H_
