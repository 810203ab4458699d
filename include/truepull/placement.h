// SPDX-License-Identifier: Apache-2.0
// Where the plate must go for the next pass, and the printer's own word on it.
#ifndef TRUEPULL_PLACEMENT_H_
#define TRUEPULL_PLACEMENT_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "truepull/drift.h"
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

/// Applies corrections to a reading: states, nudges, pulls that are none. A site that the
/// photo does not show stays missing: PlaceNextPass gives it a place.
Reading ApplyCorrections(Reading reading, const std::vector<Correction>& corrections);

/// Places the next pass on what was found: a printed or weak site at its found pose, a
/// missing one at the place that fits its neighbours, in mm of the sheet as photographed.
///
/// The fit: every printed neighbour, moved as it was found, says where the middle of the
/// line between the two should lie; the missing tile is moved and turned so that it
/// meets these best (least squares, weights 1 / (sd^2 + 0.1 mm^2)), starting from the
/// sheet's own part with the hand's spread as prior. No neighbours: the sheet's own part
/// alone; an empty sheet: the ideal place.
///
/// reading      As measured; corrections are applied inside.
/// corrections  The printer's word; sites outside the plan are ignored here
///              (the parser's caller names them).
std::vector<Placement> PlaceNextPass(const Reading& reading,
                                     const std::vector<Correction>& corrections);

/// Places the first pass: every site at its ideal pose.
std::vector<Placement> PlaceFirstPass(const Plan& plan);

/// Why a site needs a look, in words; empty when it does not, or when the printer has
/// accepted it or said what to do there.
std::string NeedsALook(const Plan& plan,
                       const SiteDrift& drift,
                       const std::vector<Correction>& corrections);

/// The outline that the plate of a pass prints at a site, tile frame (pass may be null).
Outline PlateOutlineAt(const Plan& plan, const Pass* pass, Site site);

/// The sheet's size when the next pass is pulled, and whether that is known.
struct PullState {
  SheetState photographed = SheetState::kUnknown;
  SheetState pulled = SheetState::kUnknown;
  double stretch_x = 0;        // Growth from photo to pull, a ratio; 0 when not corrected.
  double stretch_y = 0;
  bool known = false;          // Same state, or corrected by the plan's figures.
  std::string why_not_known;   // A sentence when not known.
  double width_mm = 0, height_mm = 0;  // Of the sheet at the pull.
};
/// From dry to damp the sheet grows by the plan's stretch along and across its grain;
/// from damp to dry it shrinks by the same ratio. Needs both states, the grain and both
/// figures.
PullState StateAtPull(const Plan& plan, SheetState photographed, SheetState pulled);

/// Carries placements to the sheet at the pull, origin at its top-left corner. The first
/// impression has grown with the sheet and the plate has not, so the *middle* of each
/// outline moves, x -> x (1 + stretch): the plate sits evenly on what it prints over.
/// The ideal, from which from_ideal is reckoned, is moved alike.
std::vector<Placement> AtThePull(const Plan& plan,
                                 std::vector<Placement> placements,
                                 const PullState& state);

/// One pose carried to the pull in the same way.
Pose PoseAtThePull(std::span<const Point> outline, const Pose& pose, const PullState& state);

}  // namespace truepull

#endif  // TRUEPULL_PLACEMENT_H_
