// SPDX-License-Identifier: Apache-2.0
// The guide for a plate that is fixed face up: where the sheet's corner and edge go.
#ifndef TRUEPULL_FIXED_PLATE_H_
#define TRUEPULL_FIXED_PLATE_H_

#include <string>
#include <vector>

#include "truepull/guide.h"

namespace truepull {

/// One plate fixed in one turn, and the sites that it prints.
struct FixedPlate {
  std::string name;      // "", or "A", "A-mirrored", "A-180": for a file's name; "" when it is the only one.
  Guide guide;           // Mirrored; marks of a site share its group.
  /// Where the plate's reference point lies on the guide.
  Point plate_at;
};

/// The table as seen from above: the plate's outline, printing face up, and for every site
/// that is not left alone an angle (three points, its corner in the middle) that the sheet's
/// lower right corner goes into, sheet face down, and a stroke further along the lower edge
/// (the lower left corner and to the right for the left hand). The *inner* edges of these
/// lines are the aim: what is drawn lies outside the sheet, so it shows beside it.
///
/// With the plate's reference point at the origin and the site's place `at` and turn t on
/// the printed face, a point m of the sheet as seen from its back (m = (width - x, y)) comes
/// to lie at R(t - t0) (m - (width - at.x, at.y)); t0 is the site's planned turn, so that the
/// sheet lies upright, and the plate is drawn turned by that much.
///
/// One for each plate, its mirrored twin and each planned turn, in the order of first use.
std::vector<FixedPlate> BuildFixedPlates(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request);

}  // namespace truepull

#endif  // TRUEPULL_FIXED_PLATE_H_
