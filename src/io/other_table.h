// SPDX-License-Identifier: Apache-2.0
// The program's tables that are not one row per site in order: seams, register, a run's sheets.
#ifndef TRUEPULL_IO_OTHER_TABLE_H_
#define TRUEPULL_IO_OTHER_TABLE_H_

#include <optional>
#include <string>
#include <string_view>

#include "truepull/result.h"

namespace truepull {

struct OtherTable {
  std::string what;      // "what is left at every seam (seams.csv)".
  std::string row_name;  // "seam".
  std::size_t rows = 0;
};

/// What a table is by its header, if it is one of these.
std::optional<OtherTable> RecogniseOtherTable(std::string_view text);

/// Checks every cell: numbers are numbers (or empty where that may be), words are not empty. Fails with
/// kInvalidFile, naming line and column.
Result<OtherTable> CheckOtherTable(std::string_view text, const std::string& name);

}  // namespace truepull

#endif  // TRUEPULL_IO_OTHER_TABLE_H_
