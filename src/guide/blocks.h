// SPDX-License-Identifier: Apache-2.0
// The guide's words in blocks under headings, set in columns.
#ifndef TRUEPULL_SRC_GUIDE_BLOCKS_H_
#define TRUEPULL_SRC_GUIDE_BLOCKS_H_

#include <optional>
#include <string>
#include <vector>

#include "guide/furniture.h"
#include "truepull/guide.h"

namespace truepull {

struct Block {
  std::string heading;
  std::vector<std::string> sentences{};
  bool key = false;                 // Draws the key of lines and signs instead.
  const PageMap* map = nullptr;     // Draws the map of pages below the sentences.
  bool numbered = false;            // Sentences are steps 1, 2, ...
  std::vector<Mark> figure{};       // Drawn below, from (0, 0) to its size.
  double figure_width = 0, figure_height = 0;
  bool grey_found = true;           // The key's row for first impressions.
  GuideUse use = GuideUse::kGeneral; // Whose lines the key shows.
};

/// How a split sheet's pages come together.
enum class PagesHow { kAlone, kJoined, kByFeatures };

/// How one part of a guide (masks have several) is split; the first says how the pages come together.
struct PartMap {
  PageMap map;
  std::string heading;              // "Mask 2"; empty where there is one part only.
};

/// All that a guide says; `split` adds how the pages are joined or placed, with a map for each part.
/// shows_plate  Whole outlines are there to lay the plate on; without any, none is asked for.
std::vector<Block> BlocksFor(const Guide& guide, const std::vector<PartMap>& split, PagesHow how, bool shows_plate);

/// Frame of a bank card (ISO/IEC 7810 ID-1, 85.60 x 53.98 mm), to lay one on.
Block CardBlock();
/// The plate's own outline, to lay the plate on; nothing when larger than the room.
std::optional<Block> PlateBlock(const Guide& guide, double width_mm, double height_mm);

/// Width of the columns that a width is divided into.
double ColumnWidth(double width_mm);

/// Blocks divided over pages that have `height_mm` each, in order.
std::vector<std::vector<Block>> BlocksOnPages(const std::vector<Block>& blocks, double width_mm, double height_mm);

/// Height that AddBlocks will use.
double BlocksHeight(const std::vector<Block>& blocks, double width_mm);

/// Sets blocks in as many columns as fit, one column after another, so that the tallest
/// is as short as can be. Gives the height used, mm.
double AddBlocks(const std::vector<Block>& blocks, Point top_left, double width_mm,
                 std::vector<Mark>& out);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_BLOCKS_H_
