// SPDX-License-Identifier: Apache-2.0
// Found minus ideal: each site's drift, the sheet's own part of it, and the seams.
#ifndef TRUEPULL_DRIFT_H_
#define TRUEPULL_DRIFT_H_

#include <optional>
#include <vector>

#include "truepull/tile_reading.h"

namespace truepull {

struct SiteDrift {
  Site site;
  SiteState state = SiteState::kMissing;
  Pose ideal;
  Pose found;                    // Holds only when not missing, like all below.
  Point shift;                   // found - ideal, mm.
  double turn_rad = 0;           // found - ideal, wrapped.
  PoseCovariance covariance{};
  Point hand_shift;              // What is left after the sheet's part, mm.
  double hand_turn_rad = 0;
  bool beyond_tolerance = false; // |shift| or |turn| over the plan's tolerance.
};

/// The sheet's own part: found = c + shift + R(turn) (I + E) (ideal - c), c the mean of
/// all ideal positions of the plan, E symmetric. Percentages of growth.
struct SheetPart {
  Point centre;                  // c, mm.
  Point shift;                   // mm.
  double turn_rad = 0;
  double stretch_x = 0;          // E_xx, a ratio (0.01 = 1 %).
  double stretch_y = 0;          // E_yy.
  double shear = 0;              // E_xy.
  double sd_shift_x_mm = 0, sd_shift_y_mm = 0, sd_turn_rad = 0;
  double sd_stretch_x = 0, sd_stretch_y = 0, sd_shear = 0;
  bool has_turn = false;         // Enough sites for the turn ...
  bool has_stretch_x = false;    // ... and for the stretch each way.
  bool has_stretch_y = false;
  int sites_used = 0;
};

/// The line between two neighbours. gap > 0, overlap < 0, mm.
struct Seam {
  Site a, b;                     // a < b by (row, column).
  double mean_gap_mm = 0;
  double worst_gap_mm = 0;       // The gap or overlap of largest size along the edge.
  double length_mm = 0;          // Length of the shared edge.
};

struct DriftReport {
  std::vector<SiteDrift> sites;
  std::optional<SheetPart> sheet_part;   // Absent when nothing was printed.
  std::vector<Seam> seams;
  double hand_sd_mm = 0;         // Spread of the hand part, per axis (robust).
  double hand_sd_turn_rad = 0;
  std::optional<Site> worst;     // The site that lies furthest from its ideal place.
  int printed = 0, weak = 0, missing = 0, beyond = 0;
};

/// Splits every site's drift into the sheet's part and the hand's. Sites are weighed by
/// their covariance plus the hand's own spread (robust iterations, so that one wild
/// site does not bend the sheet).
DriftReport MeasureDrift(const Plan& plan, const SheetReading& reading);

/// The sheet's part applied to an ideal place.
Point ApplySheetPart(const SheetPart& part, Point ideal);

/// The seams of a set of poses (one for each of AllSites; absent = not printed): pairs
/// that share an edge in the ideal lattice; touching at a corner is no seam.
std::vector<Seam> MeasureSeams(const Plan& plan,
                               const std::vector<std::optional<Pose>>& poses);

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_H_
