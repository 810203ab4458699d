// SPDX-License-Identifier: Apache-2.0
// Editions made up as readings, with known faults: no pixels, so hundreds take seconds.
#ifndef TRUEPULL_TESTS_EDITION_MADE_EDITIONS_H_
#define TRUEPULL_TESTS_EDITION_MADE_EDITIONS_H_

#include <functional>
#include <random>
#include <string>

#include "support/sheets.h"
#include "truepull/edition.h"

namespace truepull::testing {

struct MadeEdition {
  Plan plan = RectanglePlan(4, 5);
  int sheets = 12;
  double hand_mm = 0.25, hand_rad = 0.006;  // Chance of the hand at every site.
  double lay_mm = 0.15, lay_rad = 0.0008;   // How each sheet comes to lie.
  unsigned seed = 1;
  /// Changes one sheet's reading; `k` counts from 0.
  std::function<void(int k, EditionSheet& sheet)> change;
};

inline std::vector<EditionSheet> Make(const MadeEdition& made) {
  std::mt19937_64 random(made.seed);
  std::normal_distribution<double> normal;
  std::vector<EditionSheet> out;
  const Point centre = LatticeCentre(made.plan.lattice);
  for (int k = 0; k < made.sheets; ++k) {
    EditionSheet s;
    s.code = (k < 9 ? "0" : "") + std::to_string(k + 1);
    s.photo = s.code + ".jpg";
    s.order = k + 1;
    s.reading.plan = made.plan;
    s.reading.photo_name = s.photo;
    s.reading.sheet = ReadingAtIdeal(made.plan);
    Scatter(s.reading.sheet, made.hand_mm, made.hand_rad, random);
    const Point lay{made.lay_mm * normal(random), made.lay_mm * normal(random)};
    const Rotation turn(made.lay_rad * normal(random));
    for (SiteReading& r : s.reading.sheet.sites) {
      r.found.at = centre + lay + turn * (r.found.at - centre);
      r.body_colour = "#3a62a8";
      r.colour = 0;
    }
    s.blur_mm = 0.22;
    s.reading.sheet.sd_blur_mm = s.blur_mm;
    s.reading.sheet.photo_width_px = 4000, s.reading.sheet.photo_height_px = 3000;
    if (made.change) made.change(k, s);
    out.push_back(std::move(s));
  }
  return out;
}

/// Moves every site by what `move` says of its ideal place.
inline void Move(EditionSheet& sheet, const std::function<Point(Site, Point ideal)>& move) {
  for (SiteReading& r : sheet.reading.sheet.sites) {
    r.found.at = r.found.at + move(r.site, IdealPose(sheet.reading.plan.lattice, r.site).at);
  }
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_EDITION_MADE_EDITIONS_H_
