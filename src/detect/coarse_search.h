// SPDX-License-Identifier: Apache-2.0
// Where a pull may lie: the best few poses near its ideal place, on the sheet map.
#ifndef TRUEPULL_SRC_DETECT_COARSE_SEARCH_H_
#define TRUEPULL_SRC_DETECT_COARSE_SEARCH_H_

#include <vector>

#include "detect/paper_light.h"
#include "detect/plate_shape.h"
#include "truepull/geometry.h"

namespace truepull::detect {

struct Candidate {
  Pose pose;
  double score = 0;   // Mean over the outline; larger is better, density units.
};

struct SearchWindow {
  double reach_mm = 20;        // Either way from the ideal place.
  double reach_turn_rad = 0.3;
};

/// Mean score of an outline laid on the density map: dark just inside the edge against
/// the body further in, and against what lies just outside. The outside counts less,
/// because a neighbour's dark band there looks like one's own.
class OutlineScore {
 public:
  OutlineScore(const SheetMap& map, double blur_mm);
  double At(const PlateShape& shape, const Pose& pose) const;
  /// The best `most` peaks of the score over a window, refined, best first.
  std::vector<Candidate> Search(const PlateShape& shape, const Pose& ideal,
                                const SearchWindow& window, std::size_t most) const;
  /// Climbs from a start to the nearest peak.
  Candidate Climb(const PlateShape& shape, Pose start) const;
  /// Mean density over a pull's inside.
  double InsideDensity(const PlateShape& shape, const Pose& pose) const;

 private:
  float Density(double x_mm, double y_mm) const;
  cv::Mat blurred_;
  double px_per_mm_;
};

/// Picks one candidate for each site so that drift is smooth where the picture leaves a
/// choice: candidates far from a robust plane through the others' drift lose a little.
/// `usable[i]` false leaves a site out. Returns the index of the candidate chosen.
std::vector<std::size_t> ChooseCandidates(const std::vector<std::vector<Candidate>>& candidates,
                                          const std::vector<Pose>& ideal,
                                          const std::vector<char>& usable);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_COARSE_SEARCH_H_
