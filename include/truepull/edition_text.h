// SPDX-License-Identifier: Apache-2.0
// edition.yaml in, review.csv and review.yaml out.
#ifndef TRUEPULL_EDITION_TEXT_H_
#define TRUEPULL_EDITION_TEXT_H_

#include <string>
#include <string_view>
#include <vector>

#include "truepull/edition.h"
#include "truepull/result.h"

namespace truepull {

/// What edition.yaml says of one sheet. Empty and 0: not said.
struct EditionEntry {
  std::string code;
  std::string photo;       // As in the folder, with folders between; or the file name alone.
  std::string plan;        // File name of one of the plans.
  std::string pass, paper, whose;
  int order = 0;
  Decision decision = Decision::kOpen;
  std::string number, date, note;
};
struct EditionFile {
  EditionSettings settings;
  std::vector<EditionEntry> sheets;
};

/// Reads the text of edition.yaml; docs/formats.md lists every key. Fails with kInvalidFile;
/// the message begins "name:line:column: key ...". A photo, a place in the order, or a code
/// with its pass that stands twice, and a proof or paper that is not there, are errors.
Result<EditionFile> ParseEdition(std::string_view text, const std::string& name);

/// One row of review.csv.
struct ReviewRow {
  std::string code, photo;
  bool used = false;
  std::string reason;      // Why not used; or why someone should look. May be empty.
  int sheet = -1;          // Index into EditionReview::sheets; -1 when not used.
};

/// review.csv, one row per photo: code,photo,used,reason,shift_x_mm,shift_y_mm,turn_deg,
/// stretch_along_grain_percent,stretch_across_grain_percent,hand_sd_mm,hand_sd_turn_deg,
/// creep_column_mm_per_step,creep_row_mm_per_step,main_habit,suspected_cause,order. What
/// cannot be told is empty. Four decimals.
std::string WriteReviewCsv(const EditionReview& review, const std::vector<ReviewRow>& rows);

/// review.yaml: everything that the review found, for programs and for a later look.
std::string WriteReviewYaml(const EditionReview& review, const std::vector<ReviewRow>& rows);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_TEXT_H_
