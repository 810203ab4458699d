// SPDX-License-Identifier: Apache-2.0
// Where the plate must go for the next pass, and the printer's own word on it.
#ifndef TRUEPULL_PLACEMENT_H_
#define TRUEPULL_PLACEMENT_H_

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "truepull/drift.h"
#include "truepull/pull_order.h"
#include "truepull/result.h"
#include "truepull/rigid_move.h"
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
  bool keep_turned = false;      // `keep turned`: pulled as it lies, also where the ideal is favoured.
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
  std::optional<double> register_mm;  // From the impression's reference point to the
                                      // plate's, both at the pull; absent without one.
  int order = 0;                 // Place in the order of pulling, from 1; 0: not pulled.
};

/// Applies corrections to a reading: states, nudges, pulls that are none. A site that the
/// photo does not show stays missing: PlaceNextPass gives it a place.
Reading ApplyCorrections(Reading reading, const std::vector<Correction>& corrections);

/// Places the next pass on what was found: a printed or weak site at its found pose, a
/// missing one at the place that fits its neighbours (see PlanNextPass), in mm of the sheet as
/// photographed.
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
  bool measured = false;       // By ticks on this very sheet, not by the plan's figures.
};
/// From dry to damp the sheet grows by the plan's stretch along and across its grain;
/// from damp to dry it shrinks by the same ratio. Needs both states, the grain and both
/// figures.
PullState StateAtPull(const Plan& plan, SheetState photographed, SheetState pulled);

/// What pencil ticks on the sheet measure at the pull, and what they were at the photo, mm.
struct TickMeasure {
  std::optional<double> along_grain, across_grain;  // Either these two ...
  std::optional<double> x, y;                       // ... or these: right and down.
  double before_mm = 200;
};

/// The sheet's growth since the photo as its own ticks tell it. Fails with kBadArgument when only
/// one way is given, when the grain is not known that they go by, and when they imply more than
/// 5 % either way: no printing paper grows by that much.
Result<PullState> StateFromTicks(const Plan& plan, SheetState photographed, SheetState pulled, const TickMeasure& ticks);

/// Carries placements to the sheet at the pull, origin at its top-left corner. The first
/// impression has grown with the sheet and the plate has not, so the *middle* of each
/// outline moves, x -> x (1 + stretch): the plate sits evenly on what it prints over.
/// The ideal, from which from_ideal is reckoned, is moved alike.
std::vector<Placement> AtThePull(const Plan& plan,
                                 std::vector<Placement> placements,
                                 const PullState& state);

/// One pose carried to the pull in the same way.
Pose PoseAtThePull(std::span<const Point> outline, const Pose& pose, const PullState& state);

/// What the next pass is to favour, and what must hold.
struct NextPassRequest {
  double favour = 0;             // 0: each plate on its own impression (register); 1: even
                                 // seams (fit); between: both in these shares.
  bool lattice = false;          // Every plate at its ideal place instead.
  double trap_mm = 0;            // No plate further from its impression, and no gap wider,
                                 // where that is possible; 0: no limit.
  PullState state;               // Carries impressions and ideal places to the pull.
  bool finish = false;           // The rest of the same pass: printed sites stay, the others
                                 // join them, each held to its neighbours and not to the sheet's
                                 // growth, so that a creeping hand creeps no further.
  bool blocks = false;           // Plates for several sites, each placed as one piece:
  int block_rows = 0, block_columns = 0;  // ... of so many; 0: one for the whole sheet.
};

/// One seam of the sheet under the two extremes and as chosen, mm; gap > 0. Absent where a
/// tile is missing, or the two have come apart too far to face one another.
struct SeamOutlook {
  Site a, b;                     // a < b by (row, column).
  struct Gap {
    double mean_mm = 0, worst_mm = 0;
  };
  std::optional<Gap> found;      // Of the impressions, on the sheet as photographed.
  std::optional<Gap> on_register, fit, chosen;  // Of the pass, at the pull.
};

/// The next pass over the whole sheet.
struct NextPass {
  std::vector<Placement> placements;     // One for each site, at the pull.
  std::vector<SeamOutlook> seams;        // In order of a, then b.
  std::vector<Pose> on_register, fit;    // The two extremes, one for each site.
  std::vector<std::string> unmet;        // "C2: ...": limits that cannot be kept, and why.
  std::vector<BlockMove> blocks;         // Where the pass is printed by blocks.
};

/// Places all plates of the next pass at once, in mm at the pull.
///
/// register  a printed site lies at its impression's pose; a missing one where its neighbours'
///           seams are closed best, held weakly to the sheet's own part.
/// fit       all seams as the plan has them (every gap as planned): the ideal lattice, moved
///           and turned as one piece so that it lies best on the impressions.
/// between   least squares over both (src/placement/balance.h): (1 - favour) times misregister
///           plus favour times uneven seams; a white gap costs four times an overlap, impressions
///           weigh by h^2 / (h^2 + sd^2) with h = 0.1 mm.
///
/// The answer does not depend on the order of the sites; a move of the whole sheet moves every
/// plate alike; without drift nothing moves. A tile that lies upside down is faced up as it lies.
NextPass PlanNextPass(const Reading& reading, const std::vector<Correction>& corrections,
                      const NextPassRequest& request);

/// Orders the pulls of a pass (see pull_order.h), those to be left skipped, and numbers the placements
/// by it. `first_colours`: the pass is pulled in the plan's body colours, else in one colour. Fails
/// as OrderPulls does.
Result<PullOrder> NumberPulls(const Plan& plan, std::vector<Placement>& placements, bool first_colours,
                              PullOrderRequest times = {});

}  // namespace truepull

#endif  // TRUEPULL_PLACEMENT_H_
