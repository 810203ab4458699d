// SPDX-License-Identifier: Apache-2.0
// The path language of SVG, flattened to straight lines.
#ifndef TRUEPULL_IO_SVG_PATH_H_
#define TRUEPULL_IO_SVG_PATH_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/result.h"

namespace truepull {

/// Numbers apart by spaces or commas, or run together as paths may ("1-2.5.5"); nothing
/// when something else stands there. An empty text gives no numbers.
std::optional<std::vector<double>> SvgNumbers(std::string_view text);

/// One line of a path, without its last point where that is the first again.
struct FlatLine {
  Outline points;
  bool closed = false;   // By Z, or since it ends where it began.
};

/// The lines of a path.
/// Curves are split so that chords stray by at most `tolerance`, in the path's own units.
/// Fails with a sentence that follows "the path ...": what is wrong and where.
Result<std::vector<FlatLine>> FlattenSvgPath(const std::string& data, double tolerance);

}  // namespace truepull

#endif  // TRUEPULL_IO_SVG_PATH_H_
