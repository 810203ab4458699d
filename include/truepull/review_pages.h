// SPDX-License-Identifier: Apache-2.0
// Pages over many sheets: the review, and one page for each person to take away.
#ifndef TRUEPULL_REVIEW_PAGES_H_
#define TRUEPULL_REVIEW_PAGES_H_

#include <string>
#include <vector>

#include "truepull/edition.h"
#include "truepull/guide.h"

namespace truepull {

/// A photo that was not used, and why.
struct NotUsed {
  std::string photo;
  std::string reason;
};

struct ReviewPageInput {
  const EditionReview* review = nullptr;
  std::vector<NotUsed> not_used;
  std::vector<std::string> pictures;  // Small pictures, JPEG bytes, one for each sheet; may be empty.
  std::vector<std::string> notes;     // Where codes and order came from, and the like.
};

/// review.html: self-contained, asks nothing of the network, reads in grey, on a phone and on
/// paper; the only script sorts the table.
std::string ReviewPage(const ReviewPageInput& input);

/// students.html: one printed page for each person (or code): one habit, one thing to do, one
/// thing that got better. `only` names the person or code of a single page; empty: all.
std::string StudentPages(const EditionReview& review, const std::string& only = "");

/// The codes that StudentPages makes pages for, in order.
std::vector<std::string> PeopleOf(const EditionReview& review);

/// record.html: what the printer decided about each sheet, and how the edition was made.
std::string RecordPage(const EditionReview& review);
/// The same as pages of A4, for DrawPdf.
std::vector<GuidePage> RecordPages(const EditionReview& review);

}  // namespace truepull

#endif  // TRUEPULL_REVIEW_PAGES_H_
