// SPDX-License-Identifier: Apache-2.0
// Found minus ideal: each site's drift, the sheet's own part of it, and the seams.
#ifndef TRUEPULL_DRIFT_H_
#define TRUEPULL_DRIFT_H_

#include <array>
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
  Point cut_shift;               // Of a block's tile: what the block's own pose leaves, mm; no
  double cut_turn_rad = 0;       // part of hand_shift then.
  bool beyond_tolerance = false; // |shift| or |turn| over the plan's tolerance.
  bool beyond_hand = false;      // The hand's part alone is over it: the site is called
                                 // out. A stretched sheet calls no site out.
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
  bool has_shear = false;
  int sites_used = 0;
  /// Covariance in the order shift x, shift y, turn, E_xx, E_yy, E_xy (row-major, mm and
  /// rad); rows of what could not be told are zero. It assumes that the hand's spread is
  /// alike at every site and independent from site to site.
  std::array<double, 36> covariance{};
};

/// The line between two neighbours. gap > 0, overlap < 0, mm; measured square to the
/// edge of `a`, all along the stretch that the two share in the ideal lattice.
struct Seam {
  Site a, b;                     // a < b by (row, column).
  double mean_gap_mm = 0;
  double worst_gap_mm = 0;       // The gap or overlap of largest size along the edge.
  double length_mm = 0;          // Length of the shared edge.
  double ideal_gap_mm = 0;       // Mean gap in the ideal lattice (a planned gutter).
  double sd_mean_gap_mm = 0;     // From the poses' covariances; 0 from bare poses.
  Point middle;                  // Middle of the shared edge as found, for drawings.
};

/// One block of a pass that prints several sites at once (`plate: block` or `sheet`): where the
/// hand put it, and how its tiles are cut.
struct BlockPose {
  std::vector<std::size_t> sites;   // Indices into DriftReport::sites.
  Site first, last;                 // Its corners in rows and columns.
  int pulls = 0;                    // Of its sites that printed; 0: nothing below holds.
  Point centre;                     // Of its ideal places, mm.
  Point shift;                      // found = centre + shift + R(turn) (ideal - centre) + cutting.
  double turn_rad = 0;
  double sd_shift_mm = 0;           // Each way; cutting and measuring together.
  double sd_turn_rad = 0;
  bool has_turn = false;            // Two pulls or more.
  double cut_sd_mm = 0;             // Of the cutting, each way, measuring taken out.
  bool has_cut = false;             // Three pulls or more.
  Site worst;                       // Whose cutting is furthest out ...
  double worst_mm = 0;              // ... and by how much.
};

struct DriftReport {
  std::vector<SiteDrift> sites;
  std::optional<SheetPart> sheet_part;   // Absent when nothing was printed.
  std::vector<Seam> seams;
  // Spread of the hand part, per axis: robust, corrected for the fitted part, and with
  // the measuring's own uncertainty taken out (0: no more scatter than measuring makes).
  double hand_sd_mm = 0;
  double hand_sd_turn_rad = 0;   // About the habit below.
  double hand_habit_turn_rad = 0;  // Turn common to the tiles beyond the sheet's.
  bool has_hand_sd = false;      // Enough sites are left over to tell the spread.
  std::optional<Site> worst;     // The site that lies furthest from its ideal place.
  std::vector<BlockPose> blocks; // Of a pass that is pulled by blocks; FitBlocks fills it.
  int printed = 0, weak = 0, missing = 0;
  int beyond = 0;                // Sites beyond the tolerance, sheet's part included ...
  int beyond_hand = 0;           // ... and by the hand's part alone.
};

/// Splits every site's drift into the sheet's part and the hand's.
///
/// Gauss-Newton on the six numbers of SheetPart, every site weighed by the inverse of its
/// covariance plus the hand's own spread squared, with Tukey's biweight on the
/// Mahalanobis distance (started from least absolute distances), so that one wild site
/// does not bend the sheet. The hand's spread is found in the same iteration (an
/// M-estimate of scale made consistent for normal errors).
///
/// What the sites cannot tell is left at zero and said so: one site gives a shift only;
/// two, or a slanting line, shift and turn; three or more on one line along x or y also
/// the stretch along it; stretch both ways and shear need four sites off one line.
/// The turn comes from the positions alone, so a tile put down upside down is no matter.
DriftReport MeasureDrift(const Plan& plan, const SheetReading& reading);

/// Fits one pose to every block of a pass whose plate prints several sites, and takes what is
/// left at a site for the block's cutting: hand_shift becomes the block's own (its pose less the
/// sheet's part), the hand's spread over single tiles is no longer claimed.
///
/// Weighted least squares over the sites' places, linearised in the turn and repeated, each weighed
/// by 1 / (its variance + c^2) and Tukey's biweight (limit 5.12 on the Mahalanobis distance), c the
/// cutting's spread as the residuals have it. Turns of single tiles take no part: they are the
/// cutting's too. Blocks are counted from site (0, 0), as for `next`. A pass of single tiles is left
/// as it is.
void FitBlocks(const Plan& plan, const Pass& pass, DriftReport& report);

/// The sheet's part applied to an ideal place.
Point ApplySheetPart(const SheetPart& part, Point ideal);

/// The seams of a set of poses (one for each of AllSites; absent = not printed): pairs
/// that share an edge in the ideal lattice; touching at a corner is no seam. A gutter of
/// up to 3 mm still makes a seam. Pairs that have come apart so far that no part of the
/// shared stretch faces its neighbour are left out.
/// Accuracy: exact on straight edges; on curved ones the outline is sampled every 0.7 mm.
std::vector<Seam> MeasureSeams(const Plan& plan,
                               const std::vector<std::optional<Pose>>& poses);

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_H_
