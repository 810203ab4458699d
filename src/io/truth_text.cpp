// SPDX-License-Identifier: Apache-2.0
#include "truepull/truth_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>

#include "truepull/units.h"

namespace truepull {
namespace {

/// A CSV of plain cells (no quotes), by column name, with line numbers for messages.
struct Cells {
  std::map<std::string, std::size_t, std::less<>> columns;
  std::vector<std::vector<std::string_view>> rows;
  std::string name;

  bool Has(std::string_view column) const { return columns.find(column) != columns.end(); }
  std::string_view At(std::size_t row, std::string_view column) const {
    return rows[row][columns.find(column)->second];
  }
};

std::vector<std::string_view> SplitLine(std::string_view line) {
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  std::vector<std::string_view> cells;
  while (true) {
    const std::size_t comma = line.find(',');
    cells.push_back(line.substr(0, comma));
    if (comma == std::string_view::npos) return cells;
    line.remove_prefix(comma + 1);
  }
}

Error Bad(const Cells& cells, std::size_t row, std::string what) {
  // The head is line 1.
  return {ErrorCode::kInvalidFile, fmt::format("{}:{}: {}", cells.name, row + 2, what), ""};
}

Result<Cells> Split(std::string_view text, const std::string& name,
                    std::initializer_list<const char*> needed) {
  Cells cells;
  cells.name = name;
  bool head = true;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (line.empty() || line == "\r") continue;
    std::vector<std::string_view> split = SplitLine(line);
    if (head) {
      for (std::size_t i = 0; i < split.size(); ++i) cells.columns.emplace(split[i], i);
      head = false;
    } else if (split.size() != cells.columns.size()) {
      return Bad(cells, cells.rows.size(),
                 fmt::format("{} cells where the head has {}", split.size(), cells.columns.size()));
    } else {
      cells.rows.push_back(std::move(split));
    }
  }
  for (const char* column : needed) {
    if (cells.Has(column)) continue;
    return Error{ErrorCode::kInvalidFile, fmt::format("{}: there is no column '{}'", name, column),
                 "give the file as the program wrote it"};
  }
  return cells;
}

std::optional<double> Number(std::string_view cell) {
  double value = 0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (error != std::errc() || end != cell.data() + cell.size() || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

std::optional<int> WholeNumber(std::string_view cell) {
  int value = 0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (error != std::errc() || end != cell.data() + cell.size()) return std::nullopt;
  return value;
}

Result<Site> ReadSite(const Cells& cells, std::size_t row) {
  const auto r = WholeNumber(cells.At(row, "row")), c = WholeNumber(cells.At(row, "column"));
  if (!r || !c) return Bad(cells, row, "row and column must be whole numbers");
  return Site{*r, *c};
}

/// The pose of a line; no value inside when all three cells are empty.
Result<std::optional<Pose>> ReadPose(const Cells& cells, std::size_t row) {
  const std::string_view x = cells.At(row, "x_mm"), y = cells.At(row, "y_mm"), t = cells.At(row, "turn_deg");
  if (x.empty() && y.empty() && t.empty()) return std::optional<Pose>{};
  const auto px = Number(x), py = Number(y), turn = Number(t);
  if (!px || !py || !turn) return Bad(cells, row, "x_mm, y_mm and turn_deg must be numbers, or all empty");
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
  const auto cells = Split(text, name, {"row", "column", "state", "x_mm", "y_mm", "turn_deg", "coverage",
                                        "colour", "colour_hex", "ghost", "deposit"});
  if (!cells) return cells.error();
  std::vector<TruthRow> rows;
  for (std::size_t i = 0; i < cells->rows.size(); ++i) {
    TruthRow row;
    const auto site = ReadSite(*cells, i);
    if (!site) return site.error();
    row.site = *site;
    const std::string_view state = cells->At(i, "state");
    if (state == "printed") row.state = SiteState::kPrinted;
    else if (state == "weak") row.state = SiteState::kWeak;
    else if (state != "missing") return Bad(*cells, i, fmt::format("the state '{}' is not printed, weak or missing", state));
    const auto pose = ReadPose(*cells, i);
    if (!pose) return pose.error();
    if (pose->has_value() == (row.state == SiteState::kMissing)) {
      return Bad(*cells, i, "a missing site has no pose, every other has one");
    }
    row.pose = pose->value_or(Pose{});
    const auto coverage = Number(cells->At(i, "coverage")), deposit = Number(cells->At(i, "deposit"));
    if (!coverage || !deposit) return Bad(*cells, i, "coverage and deposit must be numbers");
    row.coverage = *coverage;
    row.deposit = *deposit;
    row.colour = WholeNumber(cells->At(i, "colour")).value_or(-1);
    row.colour_hex = cells->At(i, "colour_hex");
    row.ghost = cells->At(i, "ghost") == "1";
    rows.push_back(std::move(row));
  }
  return rows;
}

Result<std::vector<std::optional<Pose>>> ParsePlaces(std::string_view text, const std::string& name,
                                                     const std::vector<Site>& sites) {
  const auto cells = Split(text, name, {"row", "column", "x_mm", "y_mm", "turn_deg"});
  if (!cells) return cells.error();
  std::vector<std::optional<Pose>> places(sites.size());
  for (std::size_t i = 0; i < cells->rows.size(); ++i) {
    const auto site = ReadSite(*cells, i);
    if (!site) return site.error();
    const auto found = std::find(sites.begin(), sites.end(), *site);
    if (found == sites.end()) {
      return Bad(*cells, i, fmt::format("the plan has no site in row {}, column {}", site->row, site->column));
    }
    const auto pose = ReadPose(*cells, i);
    if (!pose) return pose.error();
    if (cells->Has("action") && cells->At(i, "action") == "leave") continue;
    places[static_cast<std::size_t>(found - sites.begin())] = *pose;
  }
  return places;
}

}  // namespace truepull
