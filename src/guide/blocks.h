// SPDX-License-Identifier: Apache-2.0
// The guide's words in blocks under headings, set in columns.
#ifndef TRUEPULL_SRC_GUIDE_BLOCKS_H_
#define TRUEPULL_SRC_GUIDE_BLOCKS_H_

#include <string>
#include <vector>

#include "guide/furniture.h"
#include "truepull/guide.h"

namespace truepull {

struct Block {
  std::string heading;
  std::vector<std::string> sentences;
  bool key = false;                 // Draws the key of lines and signs instead.
  const PageMap* map = nullptr;     // Draws the map of pages below the sentences.
};

/// All that a guide says; `split` adds how the pages are joined.
std::vector<Block> BlocksFor(const Guide& guide, const PageMap* split);

/// Sets blocks in as many columns as fit, one column after another, so that the tallest
/// is as short as can be. Gives the height used, mm.
double AddBlocks(const std::vector<Block>& blocks, Point top_left, double width_mm,
                 std::vector<Mark>& out);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_BLOCKS_H_
