// SPDX-License-Identifier: Apache-2.0
// corrections.yaml, the printer's own word on a reading, and placements.csv.
#ifndef TRUEPULL_CORRECTIONS_TEXT_H_
#define TRUEPULL_CORRECTIONS_TEXT_H_

#include <string>
#include <string_view>
#include <vector>

#include "truepull/placement.h"
#include "truepull/result.h"

namespace truepull {

/// Reads the text of a corrections file for a sheet of this plan:
///
///     truepull: 1
///     sites:
///       - {site: C2, action: leave, reason: smudged}
///       - {row: 0, column: 3, nudge: [0.4, -0.2], nudge_turn: 0.5}
///
/// A site is named as on pages (`site`) or as in files (`row` and `column`, from 0).
/// Fails with kInvalidFile; the message begins "name:line:column: key ...". A site
/// outside the plan, a site named twice and words that contradict each other are errors.
Result<std::vector<Correction>> ParseCorrections(std::string_view text,
                                                 const std::string& name,
                                                 const Plan& plan);

/// Writes placements.csv, one row per placement:
/// row,column,action,x_mm,y_mm,turn_deg,from_ideal_dx_mm,from_ideal_dy_mm,from_ideal_dturn_deg,order,register_mm,reason.
/// Four decimals: a ten-thousandth of a millimetre, finer than any hand or printer.
std::string WritePlacementsCsv(const std::vector<Placement>& placements);

/// Writes seams.csv: one row for each pair of sites that share an edge, four decimals; a cell is
/// empty where a tile is missing or the two do not face one another.
std::string WriteSeamsCsv(const std::vector<SeamOutlook>& seams);

/// Writes misregister.csv: how far each plate's reference point lies from its impression's in the two
/// extremes and as chosen, mm; a row's cells are empty where there is no impression.
std::string WriteMisregisterCsv(const NextPass& next);

}  // namespace truepull

#endif  // TRUEPULL_CORRECTIONS_TEXT_H_
