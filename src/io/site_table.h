// SPDX-License-Identifier: Apache-2.0
// The program's tables of sites (drift.csv, placements.csv, truth.csv): their columns
// are a contract, and this checks a table against it.
#ifndef TRUEPULL_IO_SITE_TABLE_H_
#define TRUEPULL_IO_SITE_TABLE_H_

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/lattice.h"
#include "truepull/result.h"

namespace truepull {

enum class SiteTableKind { kDrift, kPlacements, kTruth };

/// What a table of sites holds.
struct SiteTable {
  SiteTableKind kind = SiteTableKind::kDrift;
  int sites = 0;
  std::map<std::string, int> words;      // How many of each state or action.
  std::vector<std::string> more_columns; // Behind those of the contract.
  // The largest shift from the ideal place (drift and placements).
  std::optional<Site> furthest;
  double furthest_mm = 0;
};

/// The kind whose columns the text's first line begins with, if any.
std::optional<SiteTableKind> RecogniseSiteTable(std::string_view text);

/// The file that a kind of table is written as: "drift.csv".
const char* NameOf(SiteTableKind kind);

/// Checks the whole table: every cell, one row per site in order, no site twice.
/// Fails with kInvalidFile, naming line and column.
Result<SiteTable> CheckSiteTable(std::string_view text, const std::string& name, SiteTableKind kind);

}  // namespace truepull

#endif  // TRUEPULL_IO_SITE_TABLE_H_
