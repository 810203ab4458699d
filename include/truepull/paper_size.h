// SPDX-License-Identifier: Apache-2.0
// Sheets by name: A3, tabloid, 22x30.
#ifndef TRUEPULL_PAPER_SIZE_H_
#define TRUEPULL_PAPER_SIZE_H_

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace truepull {

struct PaperSize {
  std::string name;
  double short_mm = 0;
  double long_mm = 0;
};

/// All sizes known by name: ISO 216 A0-A10 and B0-B10 (each halves the long side of the
/// one before, rounded down to the millimetre), RA and SRA (ISO 217), the inch sizes of
/// ASME Y14.1, letter, legal, tabloid, ledger, and common art sheets in inches (22x30).
const std::vector<PaperSize>& PaperSizes();

/// Finds a size by name; capitals, spaces and hyphens make no difference.
std::optional<PaperSize> FindPaperSize(std::string_view name);

}  // namespace truepull

#endif  // TRUEPULL_PAPER_SIZE_H_
