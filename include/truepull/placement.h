// SPDX-License-Identifier: Apache-2.0
// Where the plate must go for the next pass, and the printer's own word on it.
#ifndef TRUEPULL_PLACEMENT_H_
#define TRUEPULL_PLACEMENT_H_

#include <optional>
#include <string>
#include <vector>

#include "truepull/result.h"
#include "truepull/tile_reading.h"

namespace truepull {

enum class Action { kPull, kStrengthen, kLeave, kLook };
const char* NameOf(Action action);  // "pull", "strengthen", "leave", "look".

/// The printer's word on one site (corrections.yaml).
struct Correction {
  Site site;
  std::optional<SiteState> state;
  bool not_a_pull = false;
  Point nudge_mm;                // Added to the found place.
  double nudge_turn_rad = 0;
  std::optional<Action> action;
  bool accepted = false;         // Silences exit status 3 for this site.
  std::string reason;
};

struct Placement {
  Site site;
  Action action = Action::kPull;
  Pose place;                    // Sheet frame at the pull, mm.
  Point from_ideal;              // place - ideal, mm.
  double from_ideal_turn_rad = 0;
  bool corrected = false;        // The printer's word was used.
  std::string reason;
};

/// Applies corrections to a reading: states, nudges, pulls that are none.
Reading ApplyCorrections(Reading reading, const std::vector<Correction>& corrections);

/// Places the next pass on what was found: a printed or weak site at its found pose, a
/// missing one at the place that fits its neighbours (their drift, weighted by
/// distance and certainty, on top of the sheet's own part).
std::vector<Placement> PlaceNextPass(const Reading& reading,
                                     const std::vector<Correction>& corrections);

/// Places the first pass: every site at its ideal pose.
std::vector<Placement> PlaceFirstPass(const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_PLACEMENT_H_
