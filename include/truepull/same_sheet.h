// SPDX-License-Identifier: Apache-2.0
// Which sheet a photo shows, told by the hand's own pattern; which pass, told by its colours.
#ifndef TRUEPULL_SAME_SHEET_H_
#define TRUEPULL_SAME_SHEET_H_

#include <string>
#include <vector>

#include "truepull/tile_reading.h"

namespace truepull {

/// Whether two readings show one and the same sheet: after each sheet's own part is taken
/// out, the hand's pattern agrees far better than two hand-pulled sheets ever do. `usual_mm`
/// is the usual r.m.s. difference between two sheets (0: not known).
struct SameSheet {
  bool same = false;
  double difference_mm = 0;    // R.m.s. per axis; negative when it cannot be told.
};
SameSheet CompareSheets(const Reading& a, const Reading& b, double usual_mm);

/// Which of several sheets, read in their first pass, a later pass was printed on: each of its
/// pulls lies where that sheet's pull was, but for the spread of the second placing.
///
/// The sheet whose pattern differs least is taken when its mean square difference is smaller
/// beyond chance (F test, `level` over the number of sheets) than what two patterns of these
/// sizes that have nothing to do with each other leave, and than the next sheet's. Two
/// sheets of 6 sites or fewer are never told apart.
struct SheetMatch {
  bool found = false;
  std::size_t sheet = 0;       // Index into `firsts`.
  double difference_mm = 0;    // R.m.s. per axis, of the best ...
  double next_mm = 0;          // ... and of the next best; 0 with one sheet.
};
SheetMatch MatchSheet(const Reading& later, const std::vector<const Reading*>& firsts, double level = 0.01);

/// The pass that the colours of a reading (made as the first pass) show: "first", a later
/// pass's name, or empty where it cannot be told (doubtful, or the plan names no colours).
///
/// Over all sites: the median CIEDE2000 between the body as measured and the plan's colour
/// there, and that colour under each later pass (Overprint of colour.h, the passes before it
/// printed too or not). The smallest wins when the next is kHardlyShows further off.
std::string PassByColour(const Reading& reading);

}  // namespace truepull

#endif  // TRUEPULL_SAME_SHEET_H_
