// SPDX-License-Identifier: Apache-2.0
// A lattice that somebody else printed and photographed: a chessboard of 25 mm squares.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <sstream>

#include "support/places.h"
#include "support/sheets.h"
#include "truepull/camera.h"
#include "truepull/drift.h"
#include "truepull/tiling.h"

namespace truepull {
namespace {

struct Corner {
  int column = 0, row = 0;
  Point raw, straight;   // px, as photographed and with the lens's bend taken out.
};

std::map<std::string, std::vector<Corner>> Photos() {
  std::ifstream file(testing::SourceFolder() + "/tests/published/chessboard_corners.csv");
  std::map<std::string, std::vector<Corner>> photos;
  for (std::string line; std::getline(file, line);) {
    if (line.substr(0, 4) != "left") continue;
    std::stringstream row(line);
    std::array<std::string, 9> cell;
    for (auto& c : cell) std::getline(row, c, ',');
    photos[cell[0]].push_back({std::stoi(cell[1]), std::stoi(cell[2]), {std::stod(cell[5]), std::stod(cell[6])}, {std::stod(cell[7]), std::stod(cell[8])}});
  }
  return photos;
}

struct Fitted {
  LatticeSteps steps;
  double rms_mm = 0, worst_mm = 0;   // Corners off the fitted lattice.
};

// The board's four outer corners are the frame (200 x 125 mm); all corners are sites. The
// lattice is the ideal one as the sheet's part carries it: steps (I + E) R (25, 0), (0, 25).
Fitted FitLattice(const std::vector<Corner>& corners, bool straight) {
  const auto seen = [&](const Corner& c) { return straight ? c.straight : c.raw; };
  const auto at = [&](int column, int row) {
    for (const Corner& c : corners) {
      if (c.column == column && c.row == row) return seen(c);
    }
    throw std::runtime_error("corner missing");
  };
  const auto mm_from_px = HomographyFromFour({at(0, 0), at(8, 0), at(8, 5), at(0, 5)}, {Point{0, 0}, {200, 0}, {200, 125}, {0, 125}});
  Plan plan = testing::RectanglePlan(6, 9);
  plan.plates[0].outline = {{0, 0}, {25, 0}, {25, 25}, {0, 25}};
  plan.lattice.origin = {0, 0};
  plan.lattice.across = {25, 0};
  plan.lattice.down = {0, 25};
  SheetReading reading = testing::ReadingAtIdeal(plan);
  for (SiteReading& r : reading.sites) r.found.at = ApplyHomography(mm_from_px, at(r.site.column, r.site.row));
  const DriftReport report = MeasureDrift(plan, reading);
  Fitted fit;
  const SheetPart& part = report.sheet_part.value();
  const Point origin = ApplySheetPart(part, {0, 0});
  fit.steps = {ApplySheetPart(part, {25, 0}) - origin, ApplySheetPart(part, {0, 25}) - origin};
  for (const SiteDrift& d : report.sites) {
    fit.rms_mm += Dot(d.hand_shift, d.hand_shift) / 54;
    fit.worst_mm = std::max(fit.worst_mm, Norm(d.hand_shift));
  }
  fit.rms_mm = std::sqrt(fit.rms_mm);
  return fit;
}

TEST(Chessboard, ItsPrintedLatticeIsRecoveredFromTwelvePhotosAndTheBadOneStandsOut) {
  const auto photos = Photos();
  ASSERT_EQ(photos.size(), 13u);
  for (const auto& [name, corners] : photos) {
    ASSERT_EQ(corners.size(), 54u) << name;
    const Fitted fit = FitLattice(corners, true), bent = FitLattice(corners, false);
    const double angle = std::atan2(Cross(fit.steps.across, fit.steps.down), Dot(fit.steps.across, fit.steps.down)) * 57.29577951308232;
    fmt::print("{}: steps {:.3f} and {:.3f} mm, {:.2f} degrees, corners off by {:.3f} mm RMS, {:.2f} at worst; with the lens's bend {:.3f} RMS\n", name,
               Norm(fit.steps.across), Norm(fit.steps.down), angle, fit.rms_mm, fit.worst_mm, bent.rms_mm);
    if (name == "left02.jpg") {
      EXPECT_GT(fit.worst_mm, 2);   // A corner found on the wrong square.
      continue;
    }
    // The published analysis: 0.09 to 0.34 mm RMS, steps 25.00 to 25.08 mm, 89.90 to 90.14 degrees.
    EXPECT_NEAR(Norm(fit.steps.across), 25, 0.1) << name;
    EXPECT_NEAR(Norm(fit.steps.down), 25, 0.1) << name;
    EXPECT_NEAR(angle, 90, 0.25) << name;
    EXPECT_LT(fit.rms_mm, 0.4) << name;
    EXPECT_GT(bent.rms_mm, fit.rms_mm) << name;
  }
}

}  // namespace
}  // namespace truepull
