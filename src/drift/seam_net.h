// SPDX-License-Identifier: Apache-2.0
// Which stretches of which outlines face one another where the plan puts the tiles: found
// once, then measured for as many sets of poses as are asked.
#ifndef TRUEPULL_DRIFT_SEAM_NET_H_
#define TRUEPULL_DRIFT_SEAM_NET_H_

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "drift/tile_kind.h"
#include "truepull/drift.h"

namespace truepull {

/// A place on a's outline that faces b across their seam.
struct SeamFacing {
  std::size_t sample = 0;     // Index into a's samples.
  double along_b_mm = 0;      // The place of b's outline nearest to it.
};

/// Two sites, as indices into AllSites (a < b), and where a faces b.
struct SeamLink {
  std::size_t a = 0, b = 0;
  std::shared_ptr<const std::vector<SeamFacing>> facing;
};

class SeamNet {
 public:
  /// lie: where each site's tile lies, for tiles that lie a good part of a turn off: they
  /// are faced up as they lie, over the same middle. Absent ones, and an empty span: as
  /// planned. Sites without a pull are in the net: they hide what lies behind them.
  SeamNet(const Plan& plan, std::span<const std::optional<Pose>> lie);

  const std::vector<Site>& sites() const { return sites_; }
  const std::vector<SeamLink>& links() const { return links_; }
  const TileKind& KindAt(std::size_t site) const { return *kinds_[kind_of_[site]]; }
  /// The ideal pose, faced up as the tile lies.
  const Pose& FacedUp(std::size_t site) const { return ideals_[site]; }

  /// One seam with its tiles at these poses; none when they have come so far apart that no
  /// part of the stretch faces its neighbour.
  std::optional<Seam> Measure(const SeamLink& link, const Pose& a, const Pose& b) const;

  /// The same with the spread that the poses' covariances give the mean gap.
  std::optional<Seam> Measure(const SeamLink& link, const Pose& a, const Pose& b,
                              const PoseCovariance* ca, const PoseCovariance* cb) const;

 private:
  void Link();

  std::vector<Site> sites_;
  std::vector<Pose> ideals_;
  std::vector<std::size_t> kind_of_;
  std::vector<std::unique_ptr<TileKind>> kinds_;
  std::vector<SeamLink> links_;
};

}  // namespace truepull

#endif  // TRUEPULL_DRIFT_SEAM_NET_H_
