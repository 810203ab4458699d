// SPDX-License-Identifier: Apache-2.0
// The sheet card in a photo: which sheet, which pass.
#ifndef TRUEPULL_SHEET_CARD_READING_H_
#define TRUEPULL_SHEET_CARD_READING_H_

#include <opencv2/core/mat.hpp>
#include <optional>

namespace truepull {

struct FoundCard {
  int number = 0;    // Of the sheet.
  int pass = 0;      // 0: the pass's marker was not seen.
  bool doubtful = false;  // Several cards with different numbers are in the picture.
};

/// Looks for a sheet card's markers (marker_cards.h) anywhere in the photo, in any turn; in
/// a copy of at most 2400 px, and in the whole photo where that shows a number without its
/// pass. Absent when no number is seen.
std::optional<FoundCard> FindSheetCard(const cv::Mat& bgr);

}  // namespace truepull

#endif  // TRUEPULL_SHEET_CARD_READING_H_
