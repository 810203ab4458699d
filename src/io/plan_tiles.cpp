// SPDX-License-Identifier: Apache-2.0
// The plan's `tile` or `plates`: outlines and what is inside.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/plan_reading.h"

namespace truepull {
namespace {

// Coordinates past this are a slip: no tile is larger than the largest sheet.
constexpr double kFurthestPointMm = kLargestSheetMm;
// 1 mm2: less cannot be cut, charged or seen in a photo.
constexpr double kSmallestTileMm2 = 1;

// Which item of the file's list each kept point came from, for messages.
struct NumberedOutline {
  Outline points;
  std::vector<std::size_t> items;
};

NumberedOutline DropRepeats(const Outline& all) {
  NumberedOutline kept;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (!kept.points.empty() && all[i] == kept.points.back()) continue;
    kept.points.push_back(all[i]);
    kept.items.push_back(i);
  }
  while (kept.points.size() > 1 && kept.points.back() == kept.points.front()) {
    kept.points.pop_back();
    kept.items.pop_back();
  }
  return kept;
}

bool OnOneLine(const Outline& outline) {
  const double reach = Radius(outline) + 1;
  return std::all_of(outline.begin(), outline.end(), [&](Point p) {
    return std::abs(Cross(outline[1] - outline[0], p - outline[0])) < 1e-12 * reach * reach;
  });
}

// The block's outer rectangle: two opposite corners, in whichever order.
Box ReadBody(const YamlCursor& at, double mm_per_unit) {
  if (!at.ExpectList(2, 2, "corners")) return {};
  const Point a = ReadPoint(at.Item(0), mm_per_unit, kFurthestPointMm), b = ReadPoint(at.Item(1), mm_per_unit, kFurthestPointMm);
  const Box box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
  if (!at.document().fault() && (box.Width() <= 0 || box.Height() <= 0)) {
    at.Fail("encloses no area", "give two opposite corners of the block's outer rectangle");
  }
  return box;
}

void ReadPlate(const YamlCursor& at, const std::string& name, PlanInProgress& out) {
  Plate plate;
  plate.name = name;
  if (at.ExpectMap({"outline", "prints", "drawing", "body"})) {
    plate.outline = ReadOutline(at.Need("outline"), out.mm_per_unit);
    const YamlCursor prints = at["prints"], drawing = at["drawing"];
    if (prints.IsWord("measured")) {
      plate.prints_measured = true;
    } else if (prints.present()) {
      // Under a twentieth there is nothing left to measure.
      plate.prints = prints.Number({.low = 0.05, .high = 1});
    }
    if (at["body"].present()) plate.body = ReadBody(at["body"], out.mm_per_unit);
    if (drawing.present()) {
      plate.drawing = ReadFileBeside(drawing);
    }
  }
  out.plan.plates.push_back(plate);
}

}  // namespace

std::string ReadFileBeside(const YamlCursor& at) {
  const std::string name = at.Text(200);
  if (name.find_first_of("/\\") != std::string::npos || name == "." || name == "..") {
    at.Fail("must be the name of a file beside this one, without a folder", "put the drawing into the same folder");
  }
  return name;
}

Point ReadPoint(const YamlCursor& at, double mm_per_unit, double limit_mm) {
  if (!at.present()) return {};
  if (!at.IsList() || at.size() != 2) {
    at.Fail("must be two numbers [x, y], not " +
            (at.IsList() ? fmt::format("a list of {}", at.size()) : at.Found()));
    return {};
  }
  const NumberRange range{.low = -limit_mm, .high = limit_mm};
  const double x = ReadLength(at.Item(0), mm_per_unit, range);
  return {x, ReadLength(at.Item(1), mm_per_unit, range)};
}

Outline ReadOutline(const YamlCursor& at, double mm_per_unit) {
  if (!at.ExpectList(3, kMostOutlinePoints, "points")) return {};
  Outline all;
  for (std::size_t i = 0; i < at.size(); ++i) {
    all.push_back(ReadPoint(at.Item(i), mm_per_unit, kFurthestPointMm));
  }
  if (at.document().fault()) return {};
  const NumberedOutline kept = DropRepeats(all);
  if (kept.points.size() < 3) {
    at.Fail(fmt::format("needs at least 3 different points, not {}", kept.points.size()));
    return {};
  }
  if (OnOneLine(kept.points)) return at.Fail("encloses no area: all its points lie on one line"), Outline{};
  if (const auto crossing = FindSelfCrossing(kept.points)) {
    at.Item(kept.items[crossing->second_edge])
        .Fail(fmt::format("begins an edge that meets the edge from {}[{}] at ({:.2f}, {:.2f}) mm, so the outline "
                          "crosses itself",
                          at.path(), kept.items[crossing->first_edge], crossing->at.x, crossing->at.y),
              "list the points in the order in which they follow one another round the tile");
    return {};
  }
  const double area = std::abs(SignedArea(kept.points));
  if (area < kSmallestTileMm2) {
    at.Fail(fmt::format("encloses {:.3g} mm2; a tile must have 1 mm2 or more", area));
    return {};
  }
  return kept.points;
}

void ReadPlates(const YamlCursor& root, PlanInProgress& out) {
  const YamlCursor tile = root["tile"], plates = root["plates"];
  if (tile.present() && plates.present()) {
    plates.Fail("is given beside tile", "keep tile for one plate, or plates for several");
    return;
  }
  if (!plates.present()) {
    if (!tile.present()) tile.Fail("is missing", "give the tile and its outline, or several plates");
    ReadPlate(tile, "tile", out);
    return;
  }
  if (!plates.ExpectMapOfNames()) return;
  const std::vector<std::string> names = plates.Keys();
  if (names.empty()) return plates.Fail("names no plate");
  if (names.size() > 100) return plates.Fail(fmt::format("may have at most 100 plates, not {}", names.size()));
  for (const std::string& name : names) {
    if (name.size() > kLongestName) return plates[name].Fail("has too long a name");
    ReadPlate(plates[name], name, out);
  }
}

}  // namespace truepull
