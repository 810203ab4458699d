// SPDX-License-Identifier: Apache-2.0
// The plan's `sheet`: size, grain and stretch.
#include <algorithm>

#include "io/nearest_word.h"
#include "io/plan_reading.h"
#include "truepull/paper_size.h"

namespace truepull {
namespace {

bool TakeEnding(std::string& name, const std::string& ending) {
  if (name.size() <= ending.size() || name.substr(name.size() - ending.size()) != ending) return false;
  name.resize(name.size() - ending.size());
  return true;
}

void ReadNamedSize(const YamlCursor& at, Sheet& sheet) {
  std::string name = at.Text(kLongestName);
  if (name.empty()) return;
  const bool upright = TakeEnding(name, " upright");
  const auto size = FindPaperSize(name);
  if (!size) {
    std::vector<std::string> known;
    for (const PaperSize& s : PaperSizes()) known.push_back(s.name);
    const std::string near = NearestWord(name, known);
    at.Fail("must be the name of a paper size, not " + at.Found(),
            near.empty() ? "for example A3, B2, SRA3, letter, tabloid, 22x30, A3 upright; or give width and height"
                         : "did you mean " + near + "?");
    return;
  }
  sheet.width_mm = upright ? size->short_mm : size->long_mm;
  sheet.height_mm = upright ? size->long_mm : size->short_mm;
}

}  // namespace

double ReadLength(const YamlCursor& at, double mm_per_unit, NumberRange range_mm) {
  range_mm.unit = "mm";
  range_mm.factor = mm_per_unit;
  return at.Number(range_mm);
}

void ReadSheet(const YamlCursor& at, PlanInProgress& out) {
  if (!at.ExpectMap({"width", "height", "size", "sd", "grain", "stretch"})) return;
  Sheet& sheet = out.plan.sheet;
  const YamlCursor size = at["size"];
  if (size.present()) {
    for (const char* key : {"width", "height"}) {
      if (at[key].present()) at[key].Fail("is given beside sheet.size", "keep the size, or width and height");
    }
    ReadNamedSize(size, sheet);
  } else {
    const NumberRange range{.low = kSmallestSheetMm, .high = kLargestSheetMm};
    for (const char* key : {"width", "height"}) {
      if (!at[key].present()) at[key].Fail("is missing", "give sheet.width and sheet.height, or sheet.size (e.g. A3)");
    }
    sheet.width_mm = ReadLength(at["width"], out.mm_per_unit, range);
    sheet.height_mm = ReadLength(at["height"], out.mm_per_unit, range);
  }
  sheet.sd_mm = ReadLength(at["sd"], out.mm_per_unit, {.low = 0, .high = 20});
  sheet.grain = static_cast<Grain>(at["grain"].Choice({"unknown", "x", "y"}));
  const YamlCursor stretch = at["stretch"];
  if (stretch.ExpectMap({"along_grain", "across_grain"})) {
    // Wet paper grows 3 % across the grain and may shrink a little along it.
    const NumberRange range{.low = -10, .high = 10, .unit = "%"};
    const YamlCursor along = stretch["along_grain"], across = stretch["across_grain"];
    if (along.present()) sheet.stretch_along_percent = along.Number(range);
    if (across.present()) sheet.stretch_across_percent = across.Number(range);
  }
}

}  // namespace truepull
