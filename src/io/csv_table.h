// SPDX-License-Identifier: Apache-2.0
// Comma-separated text as cells that remember their places.
#ifndef TRUEPULL_IO_CSV_TABLE_H_
#define TRUEPULL_IO_CSV_TABLE_H_

#include <string>
#include <vector>

#include "io/source_text.h"

namespace truepull {

struct CsvCell {
  std::string text;
  TextPlace place;
};

struct CsvTable {
  std::vector<std::string> header;
  std::vector<std::vector<CsvCell>> rows;  // Each as long as the header.
};

/// Reads a header and rows; cells may stand in double quotes (RFC 4180), empty lines are
/// passed over. Fails with kInvalidFile (no text, rows of another length, semicolons).
Result<CsvTable> ParseCsv(const SourceText& source);

}  // namespace truepull

#endif  // TRUEPULL_IO_CSV_TABLE_H_
