// SPDX-License-Identifier: Apache-2.0
// One shift and turn for many tiles: what a block, or one setting of the stops, can do.
#ifndef TRUEPULL_RIGID_MOVE_H_
#define TRUEPULL_RIGID_MOVE_H_

#include <optional>
#include <span>
#include <vector>

#include "truepull/geometry.h"
#include "truepull/plan.h"

namespace truepull {

/// x -> centre + shift + R(turn) (x - centre).
struct RigidMove {
  Point centre;             // mm.
  Point shift;              // mm, of the centre.
  double turn_rad = 0;
};
Point Apply(const RigidMove& move, Point point);
Pose Apply(const RigidMove& move, const Pose& pose);
/// Where a point must stand so that the move brings it to `point`.
Point ApplyInverse(const RigidMove& move, Point point);

/// The move that best carries `from` onto `to` (same length), about the middle of `from`.
///
/// Least squares in closed form (S. Umeyama, IEEE TPAMI 13(4), 1991, scale 1), repeated with
/// Tukey's biweight on the distances left over (limit 4.7 robust sd, at least 0.3 mm), so that a
/// few wild pulls do not draw the block. One pair gives a shift, none the identity.
RigidMove FitRigidMove(std::span<const Point> from, std::span<const Point> to);

/// A block and the sites that it prints.
struct BlockMove {
  std::vector<std::size_t> sites;   // Indices into AllSites.
  RigidMove move;                   // From the plan's places to where the block goes.
  double mean_left_mm = 0;          // Between its tiles' middles and their impressions',
  double worst_left_mm = 0;         // ... root mean square and largest.
  Site worst;
  int impressions = 0;
};

/// The best place of each block of `rows` x `columns` sites (0: one block for all), from the
/// plan's own places (a block does not grow with the sheet) to the impressions at the pull
/// (absent: none there). Blocks are counted from site (0, 0); those at the end may be smaller.
std::vector<BlockMove> PlaceBlocks(const Plan& plan, int rows, int columns,
                                   std::span<const std::optional<Pose>> impressions);

}  // namespace truepull

#endif  // TRUEPULL_RIGID_MOVE_H_
