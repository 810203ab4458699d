// SPDX-License-Identifier: Apache-2.0
#include "io/csv_table.h"

#include <fmt/format.h>

#include <algorithm>

namespace truepull {
namespace {

// One line's cells. A quoted cell may not run over the end of its line: none of our
// files needs that, and a lost quotation mark must not swallow the table.
Result<std::vector<CsvCell>> SplitLine(const SourceText& source, std::string_view line, int number) {
  std::vector<CsvCell> cells;
  std::size_t i = 0;
  while (true) {
    CsvCell cell{"", {number, static_cast<int>(i)}};
    if (i < line.size() && line[i] == '"') {
      bool closed = false;
      for (++i; i < line.size() && !closed; ++i) {
        if (line[i] != '"') cell.text += line[i];
        else if (i + 1 < line.size() && line[i + 1] == '"') cell.text += line[++i];
        else closed = true;
      }
      if (!closed || (i < line.size() && line[i] != ',')) {
        return source.At(cell.place, "the quotation mark is not closed before the next comma");
      }
    } else {
      const std::size_t end = std::min(line.find(',', i), line.size());
      cell.text = line.substr(i, end - i);
      i = end;
    }
    cells.push_back(std::move(cell));
    if (i >= line.size()) return cells;
    ++i;  // The comma.
  }
}

}  // namespace

Result<CsvTable> ParseCsv(const SourceText& source) {
  if (const auto bad = FirstBadCharacter(source.text())) {
    return source.Whole("is not a plain text in UTF-8", "save it as comma-separated text (CSV, UTF-8)");
  }
  CsvTable table;
  const std::string_view text = source.text();
  int number = 0;
  for (std::size_t begin = 0; begin < text.size(); ++number) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    std::string_view line = text.substr(begin, end - begin);
    begin = end + 1;
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    if (line.empty()) continue;
    auto cells = SplitLine(source, line, number);
    if (!cells) return cells.error();
    if (table.header.empty()) {
      if (cells->size() == 1 && line.find(';') != std::string_view::npos) {
        return source.At({number, static_cast<int>(line.find(';'))}, "the columns are parted by semicolons",
                         "save the table with commas between the columns and dots in the numbers");
      }
      for (const CsvCell& cell : *cells) table.header.push_back(cell.text);
      continue;
    }
    if (cells->size() != table.header.size()) {
      return source.At({number, 0}, fmt::format("the row has {} cells, the header {}", cells->size(), table.header.size()));
    }
    table.rows.push_back(std::move(*cells));
  }
  if (table.header.empty()) return source.Whole("is empty");
  return table;
}

}  // namespace truepull
