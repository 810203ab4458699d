// SPDX-License-Identifier: Apache-2.0
#include "truepull/fitted_lattice.h"

#include <fmt/format.h>

#include <cmath>
#include <opencv2/core.hpp>

#include "detect/find_lattice.h"
#include "truepull/drift.h"
#include "truepull/units.h"

namespace truepull {
namespace {

// Below these another round changes nothing that can be seen.
constexpr double kSettledMm = 1e-4, kSettledRad = 1e-7;

// Moves and turns the lattice about its middle until the sheet's own part has no shift
// and, where the plan leaves it free, no turn.
void SettleLattice(Plan& plan, const SheetReading& reading) {
  for (int round = 0; round < 8; ++round) {
    const DriftReport drift = MeasureDrift(plan, reading);
    if (!drift.sheet_part) return;
    const SheetPart& part = *drift.sheet_part;
    const double turn = plan.lattice.fit_turn && part.has_turn ? part.turn_rad : 0;
    const Point centre = LatticeCentre(plan.lattice);
    const Point origin = centre + part.shift + Rotation(turn) * (plan.lattice.origin - centre);
    plan.lattice = detect::TurnLattice(plan.lattice, turn);
    plan.lattice.origin = origin;
    if (Norm(part.shift) < kSettledMm && std::abs(turn) < kSettledRad) return;
  }
}

}  // namespace

Result<FittedReading> MeasureSheetFittingLattice(const Photo& photo, const SheetFrame& frame, const Plan& plan,
                                                 const DetectOptions& options) {
  FittedReading out;
  out.plan = plan;
  try {
    const detect::LitSheet lit = detect::LightSheet(photo, frame.camera, detect::RimOnly(plan));
    const auto lattice = detect::FindLattice(lit.map, plan);
    if (!lattice) {
      return Error{ErrorCode::kPhotoUnusable, photo.name + ": found no pulls that the plan's lattice could be put through",
                   "give lattice.origin, rows and columns in numbers, and check the tile's outline and the steps"};
    }
    out.plan.lattice = *lattice;
  } catch (const cv::Exception& e) {
    return Error{ErrorCode::kPhotoUnusable, photo.name + ": could not be measured (" + e.err + ")", ""};
  }
  auto reading = MeasureSheet(photo, frame, out.plan, options);
  if (!reading) return reading.error();
  out.sheet = *std::move(reading);
  SettleLattice(out.plan, out.sheet);
  const Lattice& l = out.plan.lattice;
  const double turn = std::atan2(l.across.y, l.across.x) - std::atan2(plan.lattice.across.y, plan.lattice.across.x);
  std::string words = fmt::format("the ideal places are those of the lattice that fits this print best: A1 at {:.1f}, {:.1f} mm",
                                  l.origin.x, l.origin.y);
  if (plan.lattice.fit_turn) words += fmt::format(", turned by {:.2f} degrees", DegFromRad(WrapTurn(turn)));
  if (plan.lattice.fit_rows || plan.lattice.fit_columns) words += fmt::format(", {} rows of {}", l.rows, FileColumns(l));
  out.sheet.notes.push_back(words + "; drift is measured from it");
  return out;
}

}  // namespace truepull
