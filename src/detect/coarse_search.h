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

/// The score of one site's outline over its whole window, on a grid.
struct SiteScan {
  Pose ideal;
  double grid_mm = 1.5, turn_grid_rad = 0.03;
  int half = 0, turns = 0;           // Cells and turns either way.
  std::vector<float> value;          // [turn][row][column].
  std::size_t Index(int t, int j, int i) const {
    const int side = 2 * half + 1;
    return static_cast<std::size_t>(((t + turns) * side + j + half) * side + i + half);
  }
  Pose At(int t, int j, int i) const {
    return {{ideal.at.x + i * grid_mm, ideal.at.y + j * grid_mm}, ideal.turn_rad + t * turn_grid_rad};
  }
};

/// Mean score of an outline laid on the density map: dark just inside the edge against
/// the body further in, and against what lies just outside. The outside counts less,
/// because a neighbour's dark band there looks like one's own.
class OutlineScore {
 public:
  OutlineScore(const SheetMap& map, double blur_mm);
  double At(const PlateShape& shape, const Pose& pose) const;
  /// The score over a whole window.
  SiteScan Scan(const PlateShape& shape, const Pose& ideal, const SearchWindow& window) const;
  /// The best `most` peaks of a scan, refined, best first; peaks near `expected` first
  /// where scores are close.
  std::vector<Candidate> Peaks(const PlateShape& shape, const SiteScan& scan, const Pose& expected,
                               const SearchWindow& window, std::size_t most) const;
  /// Climbs from a start to the nearest peak.
  Candidate Climb(const PlateShape& shape, Pose start) const;
  /// Share of a pull's heart (the deepest half of its inside) that carries ink.
  double HeartCoverage(const PlateShape& shape, const Pose& pose, double ink_density) const;

 private:
  float Density(const cv::Mat& map, double x_mm, double y_mm) const;
  cv::Mat blurred_;
  cv::Mat wide_;              // The same with bare table round it, so that scans need no care at the rim.
  cv::Mat sharp_;
  double px_per_mm_;
};

/// The sheet's own move as far as a first look shows it: one shift and turn (about the
/// lattice centre) for all sites, the one that the sum of their scans likes best.
struct CommonMove {
  Point shift;
  double turn_rad = 0;
  Point centre;
  double score = 0;               // Mean over the sites.
  Pose Carry(const Pose& ideal) const;
};
CommonMove FindCommonMove(const std::vector<SiteScan>& scans, const SearchWindow& window);

/// Picks one candidate for each site so that drift is smooth where the picture leaves a
/// choice: candidates far from a robust plane through the others' drift (found minus
/// `expected`) lose a little.
/// `usable[i]` false leaves a site out. Returns the index of the candidate chosen.
std::vector<std::size_t> ChooseCandidates(const std::vector<std::vector<Candidate>>& candidates,
                                          const std::vector<Pose>& expected,
                                          const std::vector<char>& usable);

}  // namespace truepull::detect

#endif  // TRUEPULL_SRC_DETECT_COARSE_SEARCH_H_
