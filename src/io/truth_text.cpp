// SPDX-License-Identifier: Apache-2.0
#include "truepull/truth_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "io/csv_table.h"
#include "io/source_text.h"
#include "io/strict_number.h"
#include "truepull/units.h"

namespace truepull {
namespace {

/// A table by column name.
struct Cells {
  SourceText source;
  CsvTable table;
  std::map<std::string, std::size_t, std::less<>> columns;

  bool Has(std::string_view column) const { return columns.find(column) != columns.end(); }
  const CsvCell& At(std::size_t row, std::string_view column) const {
    return table.rows[row][columns.find(column)->second];
  }
};

Error Bad(const Cells& cells, std::size_t row, std::string_view column, const std::string& what) {
  return cells.source.At(cells.At(row, column).place, what);
}

Result<Cells> ReadCells(std::string_view text, const std::string& name,
                        std::initializer_list<const char*> needed) {
  Cells cells{SourceText(name, text), {}, {}};
  auto table = ParseCsv(cells.source);
  if (!table) return table.error();
  cells.table = *std::move(table);
  for (std::size_t i = 0; i < cells.table.header.size(); ++i) {
    cells.columns.emplace(cells.table.header[i], i);
  }
  for (const char* column : needed) {
    if (!cells.Has(column)) {
      return cells.source.Whole(fmt::format("there is no column '{}'", column),
                                "give the file as the program wrote it");
    }
  }
  return cells;
}

std::optional<double> Number(const std::string& cell) { return ReadStrictNumber(cell).value; }

std::optional<int> WholeNumber(const std::string& cell) {
  const auto value = Number(cell);
  if (!value || std::abs(*value) > 1e6 || *value != std::floor(*value)) return std::nullopt;
  return static_cast<int>(*value);
}

Result<Site> ReadSite(const Cells& cells, std::size_t row) {
  const auto r = WholeNumber(cells.At(row, "row").text);
  const auto c = WholeNumber(cells.At(row, "column").text);
  if (!r || !c) return Bad(cells, row, r ? "column" : "row", "row and column must be whole numbers");
  return Site{*r, *c};
}

/// The pose of a line; no value inside when all three cells are empty.
Result<std::optional<Pose>> ReadPose(const Cells& cells, std::size_t row) {
  const std::string& x = cells.At(row, "x_mm").text;
  const std::string& y = cells.At(row, "y_mm").text;
  const std::string& t = cells.At(row, "turn_deg").text;
  if (x.empty() && y.empty() && t.empty()) return std::optional<Pose>{};
  const auto px = Number(x), py = Number(y), turn = Number(t);
  if (!px || !py || !turn) return Bad(cells, row, "x_mm", "x_mm, y_mm and turn_deg must be numbers, or all empty");
  return std::optional<Pose>{Pose{{*px, *py}, WrapTurn(RadFromDeg(*turn))}};
}

}  // namespace

std::string TruthText(const std::vector<TruthRow>& rows) {
  std::string text = "row,column,state,x_mm,y_mm,turn_deg,coverage,colour,colour_hex,ghost,deposit\n";
  for (const TruthRow& row : rows) {
    text += fmt::format("{},{},{},", row.site.row, row.site.column, NameOf(row.state));
    if (row.state == SiteState::kMissing) {
      text += ",,,";
    } else {
      text += fmt::format("{:.5f},{:.5f},{:.5f},", row.pose.at.x, row.pose.at.y, DegFromRad(row.pose.turn_rad));
    }
    text += fmt::format("{:.4f},{},{},{},{:.4f}\n", row.coverage,
                        row.colour < 0 ? "other" : std::to_string(row.colour), row.colour_hex,
                        row.ghost ? 1 : 0, row.deposit);
  }
  return text;
}

Result<std::vector<TruthRow>> ParseTruth(std::string_view text, const std::string& name) {
  const auto cells = ReadCells(text, name, {"row", "column", "state", "x_mm", "y_mm", "turn_deg", "coverage",
                                        "colour", "colour_hex", "ghost", "deposit"});
  if (!cells) return cells.error();
  std::vector<TruthRow> rows;
  for (std::size_t i = 0; i < cells->table.rows.size(); ++i) {
    TruthRow row;
    const auto site = ReadSite(*cells, i);
    if (!site) return site.error();
    row.site = *site;
    const std::string& state = cells->At(i, "state").text;
    if (state == "printed") {
      row.state = SiteState::kPrinted;
    } else if (state == "weak") {
      row.state = SiteState::kWeak;
    } else if (state != "missing") {
      return Bad(*cells, i, "state", fmt::format("the state '{}' is not printed, weak or missing", state));
    }
    const auto pose = ReadPose(*cells, i);
    if (!pose) return pose.error();
    if (pose->has_value() == (row.state == SiteState::kMissing)) {
      return Bad(*cells, i, "x_mm", "a missing site has no pose, every other has one");
    }
    row.pose = pose->value_or(Pose{});
    const auto coverage = Number(cells->At(i, "coverage").text), deposit = Number(cells->At(i, "deposit").text);
    if (!coverage || !deposit) return Bad(*cells, i, "coverage", "coverage and deposit must be numbers");
    row.coverage = *coverage;
    row.deposit = *deposit;
    row.colour = WholeNumber(cells->At(i, "colour").text).value_or(-1);
    row.colour_hex = cells->At(i, "colour_hex").text;
    row.ghost = cells->At(i, "ghost").text == "1";
    rows.push_back(std::move(row));
  }
  return rows;
}

Result<std::vector<std::optional<Pose>>> ParsePlaces(std::string_view text, const std::string& name,
                                                     const std::vector<Site>& sites) {
  const auto cells = ReadCells(text, name, {"row", "column", "x_mm", "y_mm", "turn_deg"});
  if (!cells) return cells.error();
  std::vector<std::optional<Pose>> places(sites.size());
  for (std::size_t i = 0; i < cells->table.rows.size(); ++i) {
    const auto site = ReadSite(*cells, i);
    if (!site) return site.error();
    const auto found = std::find(sites.begin(), sites.end(), *site);
    if (found == sites.end()) {
      return Bad(*cells, i, "row", fmt::format("the plan has no site in row {}, column {}", site->row, site->column));
    }
    const auto pose = ReadPose(*cells, i);
    if (!pose) return pose.error();
    if (cells->Has("action") && cells->At(i, "action").text == "leave") continue;
    places[static_cast<std::size_t>(found - sites.begin())] = *pose;
  }
  return places;
}

}  // namespace truepull
