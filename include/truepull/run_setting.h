// SPDX-License-Identifier: Apache-2.0
// One setting of block and stops for a run of sheets, and the shim that each sheet needs beside it.
#ifndef TRUEPULL_RUN_SETTING_H_
#define TRUEPULL_RUN_SETTING_H_

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "truepull/rigid_move.h"

namespace truepull {

struct RunSheet {
  std::string name;
  std::string group;                             // Sheets of one paper and dampness.
  std::vector<std::optional<Pose>> impressions;  // One for each site, at the pull.
};

struct RunShim {
  RigidMove own;              // What this sheet alone would want, from the plan's places.
  Point shim;                 // own minus common, at the lattice's centre, mm.
  double shim_turn_rad = 0;
  double left_mm = 0;         // Furthest that a site's middle lies from its impression when the
                              // sheet is printed with the common setting.
  int impressions = 0;
  bool needs_own = false;     // The shim moves some site by more than the plan's tolerance.
};

struct RunSetting {
  RigidMove common;                          // About the lattice's centre.
  std::map<std::string, RigidMove> groups;   // The same for each group by itself.
  std::vector<RunShim> shims;                // One for each sheet.
};

/// Each sheet's own best move (FitRigidMove), and the move that serves them together: for shift
/// and turn at the lattice's centre each a mean by Tukey's biweight (limit 4.7 robust sd, at
/// least a quarter of the tolerance), so that one odd sheet does not spoil the run. Sheets without
/// an impression do not count.
RunSetting SetForRun(const Plan& plan, const std::vector<RunSheet>& sheets);

}  // namespace truepull

#endif  // TRUEPULL_RUN_SETTING_H_
