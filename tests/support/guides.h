// SPDX-License-Identifier: Apache-2.0
// Guides for tests: a plan scattered by a hand, with one site of each kind.
#ifndef TRUEPULL_TESTS_SUPPORT_GUIDES_H_
#define TRUEPULL_TESTS_SUPPORT_GUIDES_H_

#include <random>

#include "support/sheets.h"
#include "truepull/guide.h"

namespace truepull::testing {

/// 150 squares of 24 mm, touching: as dense as a sheet of A3 gets in a classroom.
inline Plan DensePlan() {
  Plan plan = RectanglePlan(10, 15);
  plan.title = "Small waves";
  plan.plates[0].outline = {{-12, -12}, {12, -12}, {12, 12}, {-12, 12}};
  plan.lattice.origin = {42, 42};
  plan.lattice.across = {24, 0};
  plan.lattice.down = {0, 24};
  return plan;
}

inline std::vector<Placement> ScatteredPlacements(const Plan& plan, double hand_mm, double hand_rad) {
  std::vector<Placement> placements = PlaceFirstPass(plan);
  std::mt19937_64 random(5);
  std::normal_distribution<double> normal;
  for (Placement& p : placements) {
    p.place.at = p.place.at + Point{hand_mm * normal(random), hand_mm * normal(random)};
    p.place.turn_rad += hand_rad * normal(random);
  }
  if (placements.size() > 6) {
    placements[2].action = Action::kLook;
    placements[4].action = Action::kStrengthen;
    placements[6].action = Action::kLeave;
  }
  return placements;
}

inline Guide GuideOf(const Plan& plan, bool mirror = false, double hand_mm = 0.8, double hand_rad = 0.01) {
  GuideRequest request;
  request.mirror = mirror;
  request.pass_name = "dark";
  request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
  return BuildGuide(plan, ScatteredPlacements(plan, hand_mm, hand_rad), request);
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_GUIDES_H_
