// SPDX-License-Identifier: Apache-2.0
#include "cli/file_kind.h"

#include <set>
#include <string>

#include "io/other_table.h"
#include "io/site_table.h"

namespace truepull {
namespace {

// The words before a colon at the beginning of a line, or of the {...} on one line:
// enough to recognise a file even when some of it is broken further down.
std::set<std::string> OuterKeys(std::string_view text) {
  std::set<std::string> keys;
  for (std::size_t begin = 0; begin < text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    std::string_view line = text.substr(begin, end - begin);
    begin = end + 1;
    if (!line.empty() && line[0] == '{') line.remove_prefix(1);
    const std::size_t colon = line.find(':');
    if (colon == std::string_view::npos || colon == 0 || colon > 40) continue;
    if (line[0] == ' ' || line[0] == '#' || line[0] == '-') continue;
    keys.insert(std::string(line.substr(0, colon)));
  }
  return keys;
}

}  // namespace

FileKind RecogniseFile(std::string_view text) {
  if (RecogniseSiteTable(text)) return FileKind::kSiteTable;
  if (RecogniseOtherTable(text)) return FileKind::kOtherTable;
  if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
  const std::set<std::string> keys = OuterKeys(text);
  const auto has = [&](const char* key) { return keys.count(key) > 0; };
  if (has("marks") && has("pages")) return FileKind::kGuide;
  if (has("measured") && has("kind")) return FileKind::kPrinter;
  if (has("camera") || has("photo")) return FileKind::kReading;
  if (has("sites") && !has("lattice")) return FileKind::kCorrections;
  if (!has("lattice") && (has("sheets") || has("papers") || has("proof") || has("thresholds"))) return FileKind::kEdition;
  if (has("repeats") && has("tile")) return FileKind::kTile;
  if (has("lattice") || has("sheet") || has("tile") || has("plates") || has("truepull")) return FileKind::kPlan;
  return FileKind::kUnknown;
}

}  // namespace truepull
