// SPDX-License-Identifier: Apache-2.0
#include "truepull/drawing_file.h"

#include <fmt/format.h>

#include <algorithm>

#include "geometry/fixed_text.h"
#include "truepull/io.h"
#include "truepull/svg_outline.h"

namespace truepull {

Result<std::vector<DrawnLine>> LoadDrawing(const std::filesystem::path& folder, const std::string& file,
                                           const std::string& from) {
  const auto text = ReadWholeFile(folder / file, std::size_t{16} << 20);
  if (!text) {
    Error e = text.error();
    return Error{e.code, fmt::format("{}: its drawing {} could not be read", from, file), "put the SVG beside it, or leave the key drawing out"};
  }
  auto lines = ParseSvgDrawing(*text, file);
  if (lines && lines->empty()) {
    return Error{ErrorCode::kInvalidFile, file + ": nothing is drawn in it besides the outline", "draw lines, or leave the key drawing out"};
  }
  return lines;
}

Status LoadDrawings(const std::filesystem::path& folder, const std::string& from, Plan& plan) {
  for (Plate& plate : plan.plates) {
    if (plate.drawing.empty()) continue;
    auto lines = LoadDrawing(folder, plate.drawing, from);
    if (!lines) return lines.error();
    plate.drawn = *std::move(lines);
  }
  return Done{};
}

std::string WriteDrawing(std::span<const DrawnLine> lines) {
  Box box{1e9, 1e9, -1e9, -1e9};
  std::string paths;
  for (const DrawnLine& line : lines) {
    paths += "  <path d=\"";
    for (std::size_t i = 0; i < line.points.size(); ++i) {
      const Point p = line.points[i];
      paths += fmt::format("{}{} {}", i == 0 ? "M" : " L", Fixed(p.x, 4), Fixed(p.y, 4));
      box = {std::min(box.left, p.x), std::min(box.top, p.y), std::max(box.right, p.x), std::max(box.bottom, p.y)};
    }
    paths += line.closed ? " Z\"/>\n" : "\"/>\n";
  }
  const double left = std::floor(box.left) - 1, top = std::floor(box.top) - 1;
  const double width = std::ceil(box.right) + 1 - left, height = std::ceil(box.bottom) + 1 - top;
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{2:g}mm\" height=\"{3:g}mm\" viewBox=\"{0:g} {1:g} {2:g} {3:g}\">\n"
      "  <title>What is drawn inside the tile, as it prints</title>\n"
      "  <g fill=\"none\" stroke=\"#000000\" stroke-width=\"0.4\">\n{4}  </g>\n</svg>\n",
      left, top, width, height, paths);
}

std::vector<std::pair<std::string, std::string>> DrawingFiles(const Plan& plan) {
  std::vector<std::pair<std::string, std::string>> files;
  for (const Plate& plate : plan.plates) {
    const bool there = std::any_of(files.begin(), files.end(), [&](const auto& f) { return f.first == plate.drawing; });
    if (!plate.drawn.empty() && !there) files.emplace_back(plate.drawing, WriteDrawing(plate.drawn));
  }
  return files;
}

}  // namespace truepull
