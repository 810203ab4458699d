// SPDX-License-Identifier: Apache-2.0
// What a sheet has that its plan has not, in plain sentences.
#ifndef TRUEPULL_SRC_DETECT_ODD_WORDS_H_
#define TRUEPULL_SRC_DETECT_ODD_WORDS_H_

#include <string>
#include <vector>

#include "detect/odd_tiles.h"
#include "detect/way_up.h"
#include "truepull/lattice.h"
#include "truepull/plan.h"
#include "truepull/tile_reading.h"

namespace truepull::detect {

/// "C2 was printed upside down (turned by 180 degrees)"; sites put down alike share one.
std::vector<std::string> OddTileWords(const std::vector<OddTile>& odd, const std::vector<Site>& sites);

/// Empty when the print agrees with the picture. up_in_photo: from the sheet's bottom to its
/// top as measured, photo px.
std::string WayUpWords(const WayUp& way, Point up_in_photo);

/// Said when nothing on the print tells which side is the sheet's top.
inline constexpr const char* kWayUpAssumed =
    "nothing in the print tells which way up the sheet lies: its top is assumed to be the picture's";

std::string LeftOverWords(const LeftOverPull& pull);

/// Said when the printed edge agrees with the plan's hardly anywhere.
inline constexpr const char* kOtherOutline =
    "the printed edges do not follow the plan's outline: another tile, or the plan of another sheet? Do not use these "
    "places before you have looked at the picture";

/// How far apart the pulls stand over the plan's steps.
struct LatticeSize {
  double ratio = 1;
  double sd = 1;
};

/// What is said of the plates: another size, sides that are short, another outline.
std::vector<std::string> PlateWords(const PlateReading& plate, const Plan& plan, const LatticeSize& lattice);

/// What `prints: measured` came to for plate k.
std::string PrintsWords(const Plan& plan, std::size_t k, double prints);

/// Said of sites whose pull the plan's outline fits nowhere, turned or mirrored as it may be.
std::string UnexplainedWords(const std::vector<std::string>& sites);

/// What is said of how many sites carry a pull; empty when most do.
std::string FewPrintedWords(std::size_t printed, std::size_t all);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_ODD_WORDS_H_
