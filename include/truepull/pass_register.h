// SPDX-License-Identifier: Apache-2.0
// How one pass sits on another: register between any two readings of a sheet.
#ifndef TRUEPULL_PASS_REGISTER_H_
#define TRUEPULL_PASS_REGISTER_H_

#include <string>
#include <vector>

#include "truepull/drift.h"

namespace truepull {

/// One site that was found in both passes: the later minus the earlier, at the middle of the
/// first pass's outline.
struct SiteRegister {
  Site site;
  Point shift;                    // mm of the sheet as the later pass was photographed.
  double turn_rad = 0;
  double sd_x_mm = 0, sd_y_mm = 0, sd_turn_rad = 0;  // Both measurements' together.
};

struct PassRegister {
  std::string pass, to;           // Names.
  std::vector<SiteRegister> sites;
  Point mean;                     // Robust; of all sites.
  double mean_turn_rad = 0;
  double sd_mean_mm = 0;          // Standard uncertainty of one coordinate of the mean.
  double spread_mm = 0;           // sd of a single placement per axis, measuring taken out ...
  double sd_spread_mm = 0;        // ... and how well so many sites can tell it.
  double spread_turn_rad = 0;
  double worst_mm = 0;
  Site worst;
};

/// Compares a later reading with an earlier one of the same sheet and plan. Errors of the two are
/// taken to be independent (they come from two photos). `growth_x`, `growth_y`: the sheet's growth from
/// the earlier photo to the later, a ratio; middles move with it.
PassRegister RegisterBetween(const Plan& plan, const SheetReading& later, const SheetReading& earlier,
                             double growth_x = 0, double growth_y = 0);

/// The passes that a pass goes by, itself first, down to `first`: by its registers_to.
std::vector<std::string> ChainOf(const Plan& plan, const std::string& pass);

/// What a chain of three or more costs, in words; empty where a pass goes by `first`, or by a pass that
/// does. Independent errors add up in squares: by k steps the spread is sqrt(k) of one placement's.
std::string ChainWords(const Plan& plan, const std::string& pass);

}  // namespace truepull

#endif  // TRUEPULL_PASS_REGISTER_H_
