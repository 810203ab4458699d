// SPDX-License-Identifier: Apache-2.0
// The drawings that the pages over many sheets are put together from.
#ifndef TRUEPULL_PAGES_REVIEW_PARTS_H_
#define TRUEPULL_PAGES_REVIEW_PARTS_H_

#include <string>
#include <vector>

#include "truepull/edition.h"

namespace truepull {

/// How much arrows are magnified, one figure for all sheets so that they can be compared.
int CommonMagnification(const EditionReview& review);

/// Small map of one sheet: an arrow for each site, found minus ideal (or the hand's part
/// only), a cross where nothing printed, a ring where the print is weak.
std::string SheetMapSvg(const EditionReview& review, std::size_t sheet, int magnification, bool hand);

/// A line of values in the order of printing, with the middle, the limits where there are
/// enough sheets, dots to look at (diamonds), and steps.
std::string RunPlotSvg(const EditionReview& review, const RunSeries& series);

/// Spread of the hand on every sheet as dots on one scale, without codes.
std::string SpreadPlotSvg(const EditionReview& review);

/// Bars of the variance components.
std::string ComponentsSvg(const EditionReview& review);

/// A sentence for a page: escaped, a large letter first, a full stop last.
std::string PageSentence(const std::string& text);
std::string PageList(const std::vector<std::string>& sentences);

extern const char* const kReviewStyle;

}  // namespace truepull

#endif  // TRUEPULL_PAGES_REVIEW_PARTS_H_
