// SPDX-License-Identifier: Apache-2.0
// Sheet cards: a small card to lay beside a sheet, so that its photo says which sheet it is.
#ifndef TRUEPULL_SHEET_CARDS_H_
#define TRUEPULL_SHEET_CARDS_H_

#include <string>
#include <vector>

#include "truepull/guide.h"

namespace truepull {

struct SheetCard {
  int number = 1;                 // Of the sheet, 1 to kSheetNumbers.
  int pass = 1;                   // 1 to kPassNumbers.
  std::string code;               // Large figures; usually the number.
  std::string pass_name;          // "first", "dark", ...; may be empty.
  // The two markers row by row, true is black (MarkerPattern of marker_cards.h).
  std::vector<bool> number_cells, pass_cells;
};

/// Pages of A4 upright with four cards each, with lines to cut along. A card has the two
/// markers side by side, the number's on the left, and the code and pass in large figures.
std::vector<GuidePage> LayOutSheetCards(const std::vector<SheetCard>& cards);

}  // namespace truepull

#endif  // TRUEPULL_SHEET_CARDS_H_
