// SPDX-License-Identifier: Apache-2.0
// Small plans and readings for tests, made from a few words.
#ifndef TRUEPULL_TESTS_SUPPORT_SHEETS_H_
#define TRUEPULL_TESTS_SUPPORT_SHEETS_H_

#include <random>

#include "truepull/tile_reading.h"
#include "truepull/units.h"

namespace truepull::testing {

/// Touching rectangles whose reference point is their top left corner; the first lies at
/// `origin`.
struct RectangleSheet {
  Point sheet_mm{420, 297}, tile_mm{60, 45}, origin{30, 24};
  int rows = 5, columns = 6;
};
inline Plan PlanOf(const RectangleSheet& r) {
  Plan plan;
  plan.sheet.width_mm = r.sheet_mm.x;
  plan.sheet.height_mm = r.sheet_mm.y;
  Plate plate;
  plate.outline = {{0, 0}, {r.tile_mm.x, 0}, r.tile_mm, {0, r.tile_mm.y}};
  plan.plates = {plate};
  plan.lattice.origin = r.origin;
  plan.lattice.across = {r.tile_mm.x, 0};
  plan.lattice.down = {0, r.tile_mm.y};
  plan.lattice.rows = r.rows;
  plan.lattice.columns = r.columns;
  plan.colours = {"#3a62a8", "#7b4fa0"};
  return plan;
}

/// Rectangles of 60 x 45 mm in rows and columns on a sheet of A3, touching.
inline Plan RectanglePlan(int rows, int columns) { return PlanOf({.rows = rows, .columns = columns}); }

/// Five rows of six in the middle of A3, their edges drawn.
inline Plan DrawnRectangles() {
  Plan plan = PlanOf({.origin = {30, 36}});
  plan.edge_colour = "#3a2a20";
  plan.colours = {"#3a62a8", "#c0502e"};
  return plan;
}

/// 4 x 5 = 20 such sites, every other tile upside down; the reference point is the middle.
inline Plan AlternatingPlan() {
  Plan plan = RectanglePlan(4, 5);
  plan.plates[0].outline = {{-30, -22.5}, {30, -22.5}, {30, 22.5}, {-30, 22.5}};
  plan.lattice.origin = {80, 60};
  plan.lattice.turns_rad = {0, RadFromDeg(180)};
  return plan;
}

/// Every site printed at its ideal pose.
inline SheetReading ReadingAtIdeal(const Plan& plan, double sd_mm = 0.03, double sd_rad = 0.0005) {
  SheetReading reading;
  for (const Site site : AllSites(plan.lattice)) {
    SiteReading r;
    r.site = site;
    r.state = SiteState::kPrinted;
    r.found = IdealPose(plan.lattice, site);
    r.covariance = DiagonalCovariance(sd_mm, sd_mm, sd_rad);
    r.coverage = 0.93;
    r.strength = 0.9;
    reading.sites.push_back(r);
  }
  return reading;
}

/// The same with its plan.
inline Reading IdealReading(const Plan& plan) {
  Reading reading;
  reading.plan = plan;
  reading.sheet = ReadingAtIdeal(plan);
  return reading;
}

/// Moves every site by the hand's and the measuring's chance.
inline void Scatter(SheetReading& reading, double hand_mm, double hand_rad, std::mt19937_64& random) {
  std::normal_distribution<double> normal;
  for (SiteReading& r : reading.sites) {
    const double sx = std::hypot(hand_mm, std::sqrt(r.covariance[0]));
    const double sy = std::hypot(hand_mm, std::sqrt(r.covariance[4]));
    const double st = std::hypot(hand_rad, std::sqrt(r.covariance[8]));
    r.found.at = r.found.at + Point{sx * normal(random), sy * normal(random)};
    r.found.turn_rad = WrapTurn(r.found.turn_rad + st * normal(random));
  }
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_SHEETS_H_
