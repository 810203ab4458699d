// SPDX-License-Identifier: Apache-2.0
#include "io/site_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "io/csv_table.h"
#include "io/nearest_word.h"
#include "io/strict_number.h"

namespace truepull {
namespace {

enum class CellKind { kCount, kState, kAction, kNumber, kSd, kShare, kText, kColour, kFlag };

struct Column {
  const char* name;
  CellKind kind;
  bool may_be_empty = false;  // Only where the site is missing, or always for texts.
};

const std::vector<Column>& ColumnsOf(SiteTableKind kind) {
  using K = CellKind;
  static const std::vector<Column> drift{
      {"row", K::kCount}, {"column", K::kCount}, {"state", K::kState},
      {"x_mm", K::kNumber, true}, {"y_mm", K::kNumber, true}, {"turn_deg", K::kNumber, true},
      {"dx_mm", K::kNumber, true}, {"dy_mm", K::kNumber, true}, {"dturn_deg", K::kNumber, true},
      {"sd_x_mm", K::kSd, true}, {"sd_y_mm", K::kSd, true}, {"sd_turn_deg", K::kSd, true},
      {"coverage", K::kShare, true}};
  static const std::vector<Column> placements{
      {"row", K::kCount}, {"column", K::kCount}, {"action", K::kAction},
      {"x_mm", K::kNumber}, {"y_mm", K::kNumber}, {"turn_deg", K::kNumber},
      {"from_ideal_dx_mm", K::kNumber}, {"from_ideal_dy_mm", K::kNumber}, {"from_ideal_dturn_deg", K::kNumber}};
  static const std::vector<Column> truth{
      {"row", K::kCount}, {"column", K::kCount}, {"state", K::kState},
      {"x_mm", K::kNumber, true}, {"y_mm", K::kNumber, true}, {"turn_deg", K::kNumber, true},
      {"coverage", K::kShare, true}, {"colour", K::kText, true}, {"colour_hex", K::kColour, true},
      {"ghost", K::kFlag, true}, {"deposit", K::kSd, true}};
  return kind == SiteTableKind::kDrift ? drift : kind == SiteTableKind::kPlacements ? placements : truth;
}

bool IsColour(const std::string& text) {
  return text.size() == 7 && text[0] == '#' &&
         std::all_of(text.begin() + 1, text.end(), [](unsigned char c) { return std::isxdigit(c) != 0; });
}

// What a cell must be instead, or "" when it is right.
std::string Wanted(CellKind kind, const std::string& text) {
  static const std::vector<std::string> states{"printed", "weak", "missing"};
  static const std::vector<std::string> actions{"pull", "strengthen", "leave", "look"};
  const auto one_of = [&](const std::vector<std::string>& words) {
    return std::find(words.begin(), words.end(), text) != words.end() ? "" : ListedWithOr(words);
  };
  const auto value = ReadStrictNumber(text).value;
  switch (kind) {
    case CellKind::kCount:
      return value && *value >= 0 && *value < 1e6 && *value == std::floor(*value) ? "" : "a whole number from 0";
    case CellKind::kState: return one_of(states);
    case CellKind::kAction: return one_of(actions);
    case CellKind::kNumber: return value ? "" : "a number";
    case CellKind::kSd: return value && *value >= 0 ? "" : "a number of 0 or more";
    case CellKind::kShare: return value && *value >= 0 && *value <= 1 ? "" : "a number from 0 to 1";
    case CellKind::kFlag: return text == "0" || text == "1" ? "" : "0 or 1";
    case CellKind::kColour: return IsColour(text) ? "" : "a colour like #5a3a20";
    default: return "";
  }
}

Status CheckHeader(const SourceText& source, const std::vector<std::string>& header, const std::vector<Column>& columns) {
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (i < header.size() && header[i] == columns[i].name) continue;
    return source.Whole(fmt::format("column {} must be {}, not {}", i + 1, columns[i].name,
                                    i < header.size() ? header[i] : "missing"),
                        "keep the columns in the order in which they were written; add new ones at the end");
  }
  return Done{};
}

}  // namespace

const char* NameOf(SiteTableKind kind) {
  return kind == SiteTableKind::kDrift ? "drift.csv" : kind == SiteTableKind::kPlacements ? "placements.csv" : "truth.csv";
}

std::optional<SiteTableKind> RecogniseSiteTable(std::string_view text) {
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  const std::string_view line = text.substr(0, text.find_first_of("\r\n"));
  // Enough of the columns to tell them apart; the check itself tells what is wrong.
  for (const auto& [kind, beginning] :
       {std::pair{SiteTableKind::kPlacements, "row,column,action"},
        std::pair{SiteTableKind::kTruth, "row,column,state,x_mm,y_mm,turn_deg,coverage"},
        std::pair{SiteTableKind::kDrift, "row,column,state"}}) {
    if (line.substr(0, std::string_view(beginning).size()) == beginning) return kind;
  }
  return std::nullopt;
}

Result<SiteTable> CheckSiteTable(std::string_view text, const std::string& name, SiteTableKind kind) {
  const SourceText source(name, text);
  auto parsed = ParseCsv(source);
  if (!parsed) return parsed.error();
  const std::vector<Column>& columns = ColumnsOf(kind);
  if (const Status header = CheckHeader(source, parsed->header, columns); !header) return header.error();
  SiteTable table;
  table.kind = kind;
  table.more_columns.assign(parsed->header.begin() + static_cast<std::ptrdiff_t>(columns.size()), parsed->header.end());
  std::optional<Site> before;
  for (const auto& row : parsed->rows) {
    const bool missing = row[2].text == "missing";
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (row[i].text.empty() && columns[i].may_be_empty && (missing || columns[i].kind == CellKind::kText)) continue;
      const std::string wanted = Wanted(columns[i].kind, row[i].text);
      if (!wanted.empty()) {
        return source.At(row[i].place, fmt::format("{} must be {}, not {}", columns[i].name, wanted,
                                                   row[i].text.empty() ? "empty" : row[i].text.substr(0, 40)));
      }
    }
    const Site site{static_cast<int>(*ReadStrictNumber(row[0].text).value),
                    static_cast<int>(*ReadStrictNumber(row[1].text).value)};
    if (before && site <= *before) {
      return source.At(row[0].place, site == *before
                                         ? fmt::format("row {}, column {} is given twice", site.row, site.column)
                                         : fmt::format("row {}, column {} stands behind row {}, column {}", site.row,
                                                       site.column, before->row, before->column),
                       "keep one row to a site, in order of row and column");
    }
    before = site;
    ++table.sites;
    ++table.words[row[2].text];
    const std::size_t dx = kind == SiteTableKind::kTruth ? 0 : 6;
    if (dx != 0 && !row[dx].text.empty() && !row[dx + 1].text.empty()) {
      const double shift = std::hypot(*ReadStrictNumber(row[dx].text).value, *ReadStrictNumber(row[dx + 1].text).value);
      if (!table.furthest || shift > table.furthest_mm) table.furthest = site, table.furthest_mm = shift;
    }
  }
  return table;
}

}  // namespace truepull
