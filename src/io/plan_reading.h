// SPDX-License-Identifier: Apache-2.0
// The parts of reading a plan; each reads one idea's keys into the plan.
#ifndef TRUEPULL_IO_PLAN_READING_H_
#define TRUEPULL_IO_PLAN_READING_H_

#include <string>
#include <vector>

#include "io/yaml_cursor.h"
#include "truepull/plan.h"

namespace truepull {

/// What the parts share while one plan is read.
struct PlanInProgress {
  Plan plan;
  double mm_per_unit = 1;  // 25.4 with `units: in`.
};

// Limits against slips of the pen and files from strangers.
inline constexpr double kLargestSheetMm = 2000;
inline constexpr double kSmallestSheetMm = 10;  // A stamp's size; a photo shows no less.
inline constexpr int kMostSites = 10000;
inline constexpr std::size_t kMostOutlinePoints = 10000;
inline constexpr std::size_t kLongestName = 60;

/// A length in the file's unit; bounds and result are in mm.
double ReadLength(const YamlCursor& at, double mm_per_unit, NumberRange range_mm);
/// [x, y] within +-limit_mm.
Point ReadPoint(const YamlCursor& at, double mm_per_unit, double limit_mm);
/// The name of a file in the same folder.
std::string ReadFileBeside(const YamlCursor& at);
/// "#rrggbb" in small letters.
std::string ReadColour(const YamlCursor& at);
/// A closed outline: three points or more, no crossing, some area.
Outline ReadOutline(const YamlCursor& at, double mm_per_unit);

void ReadSheet(const YamlCursor& sheet, PlanInProgress& out);
void ReadPlates(const YamlCursor& root, PlanInProgress& out);
void ReadLattice(const YamlCursor& lattice, PlanInProgress& out);
void ReadColours(const YamlCursor& root, PlanInProgress& out);
void ReadTolerance(const YamlCursor& tolerance, PlanInProgress& out);
void ReadPasses(const YamlCursor& passes, PlanInProgress& out);

/// Reads a whole plan standing at `root` (a file's root or a key of another file).
/// Faults are left in the cursor's document; the plan holds only when there is none.
ParsedPlan ReadPlan(const YamlCursor& root);

}  // namespace truepull

#endif  // TRUEPULL_IO_PLAN_READING_H_
