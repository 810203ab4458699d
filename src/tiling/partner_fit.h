// SPDX-License-Identifier: Apache-2.0
// Refines a coarse way of repeating on the outline itself.
#ifndef TRUEPULL_SRC_TILING_PARTNER_FIT_H_
#define TRUEPULL_SRC_TILING_PARTNER_FIT_H_

#include <array>
#include <span>
#include <vector>

#include "tiling/split_search.h"

namespace truepull::tiling {

/// An outline as closely spaced points that keep its corners.
struct Ring {
  std::vector<Point> p;
  std::vector<double> at;      // Place of each point; at[size()] is the length.
  double length = 0;
  double side = 1;             // +1 when the points run clockwise as seen.

  Ring(std::span<const Point> outline, double step_mm);
  double Wrap(double place) const;
  Point At(double place) const;
};

/// Where a moved point meets its partner stretch.
struct Touch {
  Point q;            // Nearest place of the partner.
  Point outward;      // Normal of the outline there.
  double signed_mm;   // > 0: the moved point lies inside the tile, so the two overlap.
  double distance = 0;
};

/// A way of repeating under refinement. The move of stretch j is
///   T_j(p) = sign_j p + sum_m coefficient_jm theta_m;
/// by shifts theta = (u, v), with half turns theta = (t, 2 cB, 2 cD) with 2 cC = 2 cB + t
/// and 2 cE = 2 cD - t, which is what makes the six stretches close.
class PartnerFit {
 public:
  PartnerFit(const Splits& coarse, const Ring& ring);

  bool half_turns() const { return half_turns_; }
  /// Some rounds of: touch, least squares, split anew. The ring may differ from the last.
  void Refine(const Ring& ring, int rounds);
  Point Move(int stretch, Point p) const;
  Point MoveBack(int stretch, Point p) const;
  int PartnerOf(int stretch) const;
  double From(int stretch) const { return split_[static_cast<std::size_t>(stretch)]; }
  double To(const Ring& ring, int stretch) const;
  bool IsEmpty(const Ring& ring, int stretch) const;
  /// Within the partner stretch and `slack_mm` past its ends. Little slack keeps the tip of
  /// a sharp corner from touching the wrong one of its two edges.
  Touch TouchOf(const Ring& ring, int stretch, Point p, double slack_mm) const;
  /// What a split may be off by once it is refined.
  static double LittleSlack(const Ring& ring) { return 0.002 * ring.length; }
  Point Theta(int m) const { return theta_[static_cast<std::size_t>(m)]; }
  /// Of the distances of the outline's points from their partners, none counted for more
  /// than `most_mm`.
  double rms_mm(const Ring& ring, double most_mm = 1e9) const;

 private:
  void Solve(const Ring& ring, bool first);
  void SplitAnew(const Ring& ring);
  double Sign(int stretch) const;
  double Coefficient(int stretch, int m) const;

  bool half_turns_;
  std::array<double, 6> split_{};
  std::array<Point, 3> theta_{};
};

}  // namespace truepull::tiling

#endif  // TRUEPULL_SRC_TILING_PARTNER_FIT_H_
