// SPDX-License-Identifier: Apache-2.0
// truth.csv: what is true of every site of an imagined sheet.
//
// Columns: row,column,state,x_mm,y_mm,turn_deg,coverage,colour,colour_hex,ghost,deposit.
// Lengths in mm, turns in degrees; a missing site has empty pose cells; `colour` is the
// index into the plan's colours, or `other`.
#ifndef TRUEPULL_TRUTH_TEXT_H_
#define TRUEPULL_TRUTH_TEXT_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/lattice.h"
#include "truepull/render.h"
#include "truepull/result.h"

namespace truepull {

std::string TruthText(const std::vector<TruthRow>& rows);

/// Reads truth.csv. `name` is used in messages. Fails with kInvalidFile.
Result<std::vector<TruthRow>> ParseTruth(std::string_view text, const std::string& name);

/// Reads places for another pass from a CSV with at least the columns row, column, x_mm,
/// y_mm, turn_deg (placements.csv, truth.csv, drift.csv): one for each of `sites`, in
/// their order; a site that is not there or has empty cells gets none, as does one whose
/// action is `leave`.
Result<std::vector<std::optional<Pose>>> ParsePlaces(std::string_view text,
                                                     const std::string& name,
                                                     const std::vector<Site>& sites);

}  // namespace truepull

#endif  // TRUEPULL_TRUTH_TEXT_H_
