// SPDX-License-Identifier: Apache-2.0
// From a tile and a printer's wishes to a planned sheet, in words and numbers.
#ifndef TRUEPULL_CLI_LAYOUT_JOB_H_
#define TRUEPULL_CLI_LAYOUT_JOB_H_

#include <optional>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "truepull/layout.h"
#include "truepull/pull_order.h"
#include "truepull/result.h"

namespace truepull {

/// What the flags of `truepull layout` say; lengths in mm.
struct LayoutWishes {
  std::string sheet;                   // A name or WIDTHxHEIGHT; empty: the plan's own.
  double margin_mm = 15;
  std::string repeat = "own";
  std::string turn = "0";              // Degrees or `best`.
  int rows = 0, columns = 0;
  std::string grain;
  std::vector<double> stretch_percent; // Along and across the grain.
  std::string title;
  std::string edge_colour;
  std::vector<std::string> colours;
  std::string colour_map;
  PullOrderRequest order;
};

struct PlannedSheet {
  Plan plan;
  SheetLayout layout;
  PullOrder order;
  std::vector<std::string> colour_names;
  std::vector<std::string> summary;    // Plain sentences.
  std::vector<std::string> findings;   // What needs a look.
};

/// Plans the sheet for a tile file, an SVG outline or a plan whose sheet is to be laid out
/// anew. `text` is the file's; errors name it. Drawings that it names lie in `folder`.
Result<PlannedSheet> PlanSheet(std::string_view text, const std::string& name, const std::filesystem::path& folder,
                               const LayoutWishes& wishes);

/// "A3", "A3 upright", "22x30" (a trade size, inches) or "420x297" in mm: width and height.
Result<Sheet> ParseSheetSize(const std::string& text);

}  // namespace truepull

#endif  // TRUEPULL_CLI_LAYOUT_JOB_H_
