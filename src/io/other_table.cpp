// SPDX-License-Identifier: Apache-2.0
#include "io/other_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "io/csv_table.h"
#include "io/strict_number.h"

namespace truepull {
namespace {

// One letter for each column: w word, i whole number, n number, o number or empty.
struct Shape {
  const char* header;
  const char* cells;
  const char* what;
  const char* row_name;
};
constexpr std::array<Shape, 5> kShapes{{
    {"row,column,neighbour_row,neighbour_column,gap_mm_found,gap_mm_register,gap_mm_fit,gap_mm_chosen,worst_mm_found,worst_mm_register,worst_mm_fit,worst_mm_chosen",
     "iiiioooooooo", "what is left at every seam (seams.csv)", "seam"},
    {"row,column,misregister_mm_register,misregister_mm_fit,misregister_mm_chosen", "iiooo",
     "how far plates lie from their impressions (misregister.csv)", "site"},
    {"row,column,below,below_name,layer,overprint,overprint_name,difference,difference_all_eyes,hardly_shows", "iiwwwwwnnw",
     "what the next colour will do (colours.csv)", "site"},
    {"row,column,pass,to,dx_mm,dy_mm,dturn_deg,sd_x_mm,sd_y_mm,sd_turn_deg", "iiwwnnnnnn", "how a pass sits on earlier ones (register.csv)", "row"},
    {"sheet,group,dx_mm,dy_mm,dturn_deg,shim_dx_mm,shim_dy_mm,shim_dturn_deg,left_mm,needs_own", "wwnnnnnnnw",
     "one setting for a run of sheets (together.csv)", "sheet"},
}};

const Shape* ShapeOf(std::string_view text) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  std::string_view line = text.substr(0, text.find('\n'));
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  const auto at = std::find_if(kShapes.begin(), kShapes.end(), [&](const Shape& s) { return line.substr(0, std::string_view(s.header).size()) == s.header; });
  return at == kShapes.end() ? nullptr : &*at;
}

}  // namespace

std::optional<OtherTable> RecogniseOtherTable(std::string_view text) {
  const Shape* shape = ShapeOf(text);
  if (shape == nullptr) return std::nullopt;
  return OtherTable{shape->what, shape->row_name, 0};
}

Result<OtherTable> CheckOtherTable(std::string_view text, const std::string& name) {
  const Shape* shape = ShapeOf(text);
  const SourceText source(name, text);
  if (shape == nullptr) return source.Whole("is none of the tables that are known here");
  const auto table = ParseCsv(source);
  if (!table) return table.error();
  const std::string_view cells = shape->cells;
  for (const auto& row : table->rows) {
    for (std::size_t c = 0; c < cells.size(); ++c) {
      const CsvCell& cell = row[c];
      const std::string& column = table->header[c];
      if (cells[c] == 'o' && cell.text.empty()) continue;
      if (cell.text.empty()) return source.At(cell.place, column + " is empty");
      if (cells[c] == 'w') continue;
      const auto number = ReadStrictNumber(cell.text);
      if (!number.value) return source.At(cell.place, fmt::format("{} must be a number, not {}", column, cell.text), number.hint);
      if (cells[c] == 'i' && (*number.value < 0 || *number.value != static_cast<int>(*number.value))) {
        return source.At(cell.place, fmt::format("{} counts from 0, in whole numbers, not {}", column, cell.text));
      }
    }
  }
  return OtherTable{shape->what, shape->row_name, table->rows.size()};
}

}  // namespace truepull
