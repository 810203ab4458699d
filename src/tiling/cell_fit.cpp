// SPDX-License-Identifier: Apache-2.0
#include "truepull/cell_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr double kDeepest = 0.01;  // mm: no knife or eye tells it.
constexpr double kInside = 0.005;  // Probes stand this far inside their own edge (so one that a
                                   // sharp tip puts outside is no overlap) ...
constexpr double kStep = 0.5;      // ... and this far apart along it.

// Places just inside an outline. Square to the middle of each stretch; never at a corner
// itself, where "inside" has no one direction.
std::vector<Point> Probes(const Outline& outline) {
  std::vector<Point> probes;
  const double side = SignedArea(outline) >= 0 ? 1 : -1;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Point a = outline[i], b = outline[(i + 1) % outline.size()];
    const double length = Norm(b - a);
    if (length < 1e-9) continue;
    const Point in = (side * kInside / length) * Point{a.y - b.y, b.x - a.x};
    const int parts = std::max(1, static_cast<int>(std::ceil(length / kStep)));
    for (int k = 0; k < parts; ++k) probes.push_back(a + ((k + 0.5) / parts) * (b - a) + in);
  }
  return probes;
}

}  // namespace

bool CellFit::Fits() const {
  return overlap_mm <= kDeepest && std::abs(spare_mm2) <= 1e-4 * area_mm2;
}

CellFit FitOfCell(std::span<const Outline> members, const LatticeSteps& steps) {
  CellFit fit;
  fit.area_mm2 = std::abs(Cross(steps.across, steps.down));
  fit.spare_mm2 = fit.area_mm2;
  for (const Outline& m : members) fit.spare_mm2 -= std::abs(SignedArea(m));
  const LatticeSteps reduced = ReduceSteps(steps);
  const double det = Cross(reduced.across, reduced.down);
  std::vector<Box> boxes;
  for (const Outline& m : members) boxes.push_back(BoundingBox(m));
  for (std::size_t p = 0; p < members.size(); ++p) {
    const std::vector<Point> probes = Probes(members[p]);
    for (std::size_t q = 0; q < members.size(); ++q) {
      // Lattice shifts that bring q's box over p's.
      const Point gap{(boxes[p].left + boxes[p].right - boxes[q].left - boxes[q].right) / 2,
                      (boxes[p].top + boxes[p].bottom - boxes[q].top - boxes[q].bottom) / 2};
      const double i0 = std::round(Cross(gap, reduced.down) / det), j0 = std::round(Cross(reduced.across, gap) / det);
      const double reach = (boxes[p].Width() + boxes[q].Width() + boxes[p].Height() + boxes[q].Height()) / 2;
      const int ni = 1 + static_cast<int>(reach * Norm(reduced.down) / std::abs(det));
      const int nj = 1 + static_cast<int>(reach * Norm(reduced.across) / std::abs(det));
      for (int i = -ni; i <= ni; ++i) {
        for (int j = -nj; j <= nj; ++j) {
          const Point shift = (i0 + i) * reduced.across + (j0 + j) * reduced.down;
          if (p == q && Norm(shift) < 1e-9) continue;
          const Box& b = boxes[q];
          for (const Point& at : probes) {
            const Point back = at - shift;
            if (back.x <= b.left || back.x >= b.right || back.y <= b.top || back.y >= b.bottom) continue;
            fit.overlap_mm = std::max(fit.overlap_mm, SignedDistance(members[q], back));
          }
        }
      }
    }
  }
  return fit;
}

Outline PlacedMember(const Outline& outline, const CellMember& member) {
  Outline placed = outline;
  if (member.mirrored) {
    for (Point& p : placed) p.x = -p.x;
  }
  return Apply({member.at, member.turn_rad}, placed);
}

Result<BuiltTile> RepeatOf(const Outline& outline, const std::optional<BuiltTile>& claimed) {
  BuiltTile tile;
  tile.outline = outline;
  std::optional<double> overlap;
  if (claimed && !claimed->cell.empty()) {
    std::vector<Outline> members;
    for (const CellMember& m : claimed->cell) members.push_back(PlacedMember(outline, m));
    const CellFit fit = FitOfCell(members, claimed->steps);
    if (fit.Fits()) {
      tile.steps = claimed->steps;
      tile.cell = claimed->cell;
      for (const CellMember& m : tile.cell) tile.needs_mirrored_plate = tile.needs_mirrored_plate || m.mirrored;
      return tile;
    }
    overlap = fit.overlap_mm;
  }
  const auto verdict = JudgeOutline(outline);
  if (!verdict) return verdict.error();
  const auto& repeat = verdict->shifts ? verdict->shifts : verdict->half_turns;
  if (!repeat) {
    return Error{ErrorCode::kInvalidFile,
                 overlap && *overlap > kDeepest
                     ? fmt::format("the tile does not repeat: on the lattice that the file gives, tiles lie up to {:.2f} mm in one another", *overlap)
                     : std::string("the tile repeats neither by shifts nor by shifts and half turns"),
                 "run truepull tile on it: it closes an outline that nearly repeats, and shows where one does not"};
  }
  tile.steps = repeat->steps;
  for (const Pose& pose : repeat->cell) tile.cell.push_back({0, pose.at, pose.turn_rad, false});
  return tile;
}

}  // namespace truepull
