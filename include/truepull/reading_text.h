// SPDX-License-Identifier: Apache-2.0
// reading.yaml and drift.csv: what was measured, as text and back.
#ifndef TRUEPULL_READING_TEXT_H_
#define TRUEPULL_READING_TEXT_H_

#include <string>
#include <string_view>

#include "truepull/drift.h"
#include "truepull/result.h"
#include "truepull/tile_reading.h"

namespace truepull {

/// Writes reading.yaml: everything that was measured, and the plan it was read by.
///
/// Places are written to 0.000001 mm, turns to 0.0000001 degrees, shares to 0.000001: a
/// thousandth of what can be measured. The camera and the plan keep every digit. So one
/// pass through a file rounds a reading and any further pass changes nothing.
std::string WriteReading(const Reading& reading, const DriftReport& drift);

/// Reads the text of a reading back. Drift, the sheet's part, the hand and the seams
/// are in the file for people; they are worked out again from the sites, so these keys
/// are accepted and not looked into.
///
/// Fails with kInvalidFile; the message begins "name:line:column: key ...". Every site
/// of the plan must be there, once and in order.
Result<Reading> ParseReading(std::string_view text, const std::string& name);

/// Writes drift.csv: one row per site in order, with the columns of docs/formats.md; a
/// missing site has empty number cells except its coverage. Four decimals.
std::string WriteDriftCsv(const Reading& reading, const DriftReport& drift);

}  // namespace truepull

#endif  // TRUEPULL_READING_TEXT_H_
