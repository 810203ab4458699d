// SPDX-License-Identifier: Apache-2.0
#include "edition/plate_fault.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"

namespace truepull {
namespace {

Rotation RotationAt(const Plan& plan, Site site) { return Rotation(IdealPose(plan.lattice, site).turn_rad); }

// A tile-frame vector as it lies on the sheet: mirrored members mirror it first.
Point OnSheet(const Plan& plan, Site site, Point in_tile) {
  if (MemberAt(plan.lattice, site).mirrored) in_tile.x = -in_tile.x;
  return RotationAt(plan, site) * in_tile;
}

struct Stretch {
  Point outward;
  double along_mm = 0;
};

// Middles of equal stretches of an outline with their normals.
std::vector<Stretch> StretchesOf(const Outline& outline, std::size_t parts) {
  std::vector<Stretch> out(parts);
  const double length = Perimeter(outline);
  const auto samples = SampleOutline(outline, length / (20.0 * static_cast<double>(parts)), 0.3);
  std::vector<double> count(parts);
  for (const EdgeSample& s : samples) {
    const auto k = std::min(parts - 1, static_cast<std::size_t>(s.along_mm / length * static_cast<double>(parts)));
    out[k].outward = out[k].outward + s.outward;
    count[k] += 1;
  }
  for (std::size_t k = 0; k < parts; ++k) {
    out[k].along_mm = length * (static_cast<double>(k) + 0.5) / static_cast<double>(parts);
    if (count[k] > 0) out[k].outward = (1 / count[k]) * out[k].outward;
  }
  return out;
}

bool Within(const TileSide& side, double along, double length) {
  return (along >= side.from_mm && along < side.to_mm) ||
         (along + length >= side.from_mm && along + length < side.to_mm);
}

std::string SideWords(const SideFault& side) {
  return fmt::format("{} mm too {} on its {} side (+- {} mm)", Fixed(std::abs(side.out_mm), 1),
                     side.out_mm < 0 ? "short" : "long", side.side, Fixed(2 * side.sd_mm, 1));
}

}  // namespace

Point PlateShiftAt(const Plan& plan, const PlateFault& fault, Site site) {
  if (!fault.found || !fault.told_apart || PlateAt(plan, site).name != fault.plate) return {};
  return OnSheet(plan, site, fault.bias);
}

void JudgePlate(PlateFault& fault, const Outline& outline, const std::vector<const PlateEdges*>& edges,
                double growth_mm, const ReviewThresholds& thresholds, double level) {
  const double bias = Norm(fault.bias);
  const bool moved = fault.told_apart && fault.test.p < level && bias > thresholds.least_mm;
  fault.sides.clear();
  const std::vector<TileSide> sides = SidesOf(outline);
  fault.by_edges = !edges.empty();
  if (fault.by_edges) {
    const std::size_t parts = edges[0]->out_mm.size();
    const std::vector<Stretch> stretches = StretchesOf(outline, parts);
    const double length = Perimeter(outline);
    for (const TileSide& side : sides) {
      // Each sheet's mean over the side; their scatter shows how well it is known.
      std::vector<double> of_sheets;
      double claimed = 0, stretch_count = 0;
      for (const PlateEdges* e : edges) {
        double sum = 0, variance = 0, n = 0;
        for (std::size_t k = 0; k < parts && k < e->out_mm.size(); ++k) {
          if (!Within(side, stretches[k].along_mm, length)) continue;
          sum += e->out_mm[k], variance += e->sd_mm[k] * e->sd_mm[k], n += 1;
        }
        if (n == 0) continue;
        of_sheets.push_back(sum / n);
        // Neighbouring stretches share the fit's own error: taken as fully alike.
        claimed += variance / n;
        stretch_count += 1;
      }
      if (of_sheets.empty()) continue;
      double mean = 0;
      for (const double v : of_sheets) mean += v / static_cast<double>(of_sheets.size());
      SideFault s;
      s.side = side.name;
      s.out_mm = mean + growth_mm + (fault.told_apart ? Dot(side.outward, fault.bias) : 0);
      s.sd_mm = std::hypot(std::sqrt(claimed) / stretch_count, fault.told_apart ? fault.sd_bias_mm : 0);
      if (std::abs(s.out_mm) > thresholds.least_mm && std::abs(s.out_mm) > 3.5 * s.sd_mm) fault.sides.push_back(s);
    }
  } else if (moved) {
    // Places alone: the fit of a whole outline to one with a short side lies off by
    // sum(m m') over that side only, divided by sum(m m') over all.
    double best = 0;
    for (const TileSide& side : sides) {
      const double towards = -Dot(side.outward, fault.bias);  // Positive: a short side there.
      if (towards <= best) continue;
      Eigen::Matrix2d all = Eigen::Matrix2d::Zero();
      for (const TileSide& t : sides) {
        const Eigen::Vector2d m(t.outward.x, t.outward.y);
        all += (t.to_mm - t.from_mm) * m * m.transpose();
      }
      const Eigen::Vector2d m(side.outward.x, side.outward.y);
      const Eigen::Vector2d shift = all.ldlt().solve((side.to_mm - side.from_mm) * m);  // For 1 mm.
      best = towards;
      fault.sides = {{side.name, -towards / std::max(0.1, shift.dot(m)), fault.sd_bias_mm / std::max(0.1, shift.dot(m))}};
    }
  }
  std::sort(fault.sides.begin(), fault.sides.end(),
            [](const SideFault& a, const SideFault& b) { return std::abs(a.out_mm) > std::abs(b.out_mm); });
  fault.found = moved || (fault.by_edges && !fault.sides.empty() && std::abs(fault.sides[0].out_mm) > 2 * thresholds.least_mm);
  if (!fault.found) {
    fault.sides.clear();
    return;
  }
  const std::string name = fault.plate == "tile" ? "the plate" : "plate " + fault.plate;
  if (fault.sides.empty()) {
    fault.words = fmt::format("{} prints {} mm off its reference point, at every site and turning with the tile", name, Fixed(bias, 1));
    return;
  }
  fault.words = name + " prints " + SideWords(fault.sides[0]);
  if (fault.by_edges) {
    for (std::size_t i = 1; i < std::min<std::size_t>(3, fault.sides.size()); ++i) fault.words += ", " + SideWords(fault.sides[i]);
  } else {
    fault.words += ", or as much too long on the opposite side: the readings hold places only";
  }
  fault.words += ": it repeats at every site and turns with the tile";
}

PlateFault FindPlateFault(const Plan& plan, int plate, const std::vector<const DriftReport*>& drifts,
                          const std::vector<const SheetFit*>& fits, const std::vector<const SheetReading*>& readings,
                          const ReviewThresholds& thresholds, double level) {
  PlateFault fault;
  fault.plate = plan.plates[static_cast<std::size_t>(plate)].name;
  Eigen::Matrix2d zz = Eigen::Matrix2d::Zero();
  Eigen::Vector2d zy = Eigen::Vector2d::Zero();
  double yy = 0, freedom = -2, growth = 0, grown = 0, whole = 0;
  for (std::size_t k = 0; k < fits.size(); ++k) {
    const SheetFit& fit = *fits[k];
    if (fit.freedom <= 0) continue;
    // x and y of the sheet each see both parts of the bias.
    std::array<std::vector<double>, 4> z;  // x from bias x, x from bias y, y from ...
    for (const std::size_t i : fit.sites) {
      const Site site = drifts[k]->sites[i].site;
      const bool its = MemberAt(plan.lattice, site).plate == plate;
      const Point ux = its ? OnSheet(plan, site, {1, 0}) : Point{}, uy = its ? OnSheet(plan, site, {0, 1}) : Point{};
      z[0].push_back(ux.x), z[1].push_back(uy.x), z[2].push_back(ux.y), z[3].push_back(uy.y);
      whole += its ? 1 : 0;
    }
    for (std::vector<double>& column : z) column = LeftOver(fit, column);
    for (std::size_t i = 0; i < fit.sites.size(); ++i) {
      const Point r = fit.residual[i];
      const Eigen::Vector2d zx(z[0][i], z[1][i]), zr(z[2][i], z[3][i]);
      zz += zx * zx.transpose() + zr * zr.transpose();
      zy += zx * r.x + zr * r.y;
      yy += r.x * r.x + r.y * r.y;
    }
    freedom += 2 * fit.freedom;
  }
  std::vector<const PlateEdges*> edges;
  for (const SheetReading* reading : readings) {
    for (const PlateEdges& e : reading->plate_edges) {
      if (e.plate == plate && !e.mirrored && !e.out_mm.empty()) edges.push_back(&e);
    }
    for (const SiteReading& s : reading->sites) {
      if (s.state != SiteState::kPrinted || MemberAt(plan.lattice, s.site).plate != plate) continue;
      growth += s.growth_mm, grown += 1;
    }
  }
  // What of a unit of bias the sheet's own part leaves; with one turn only, nothing.
  const double seen = whole > 0 ? zz.trace() / (2 * whole) : 0;
  if (seen > 0.05 && freedom > 0) {
    fault.told_apart = true;
    const Eigen::Vector2d b = zz.ldlt().solve(zy);
    const double variance = std::max(1e-12, (yy - b.dot(zy)) / freedom);
    fault.bias = {b(0), b(1)};
    const Eigen::Matrix2d cov = variance * zz.inverse();
    fault.sd_bias_mm = std::sqrt(std::max(cov(0, 0), cov(1, 1)));
    const double f = b.dot(zy) / 2 / variance;
    fault.test = {2 * f, f, ChanceOfF(f, 2, freedom), freedom};
  }
  // 0.05 mm: the usual dot gain of a print by hand, which is no fault of the plate.
  JudgePlate(fault, plan.plates[static_cast<std::size_t>(plate)].outline, edges, grown > 0 ? growth / grown - 0.05 : 0, thresholds, level);
  return fault;
}

}  // namespace truepull
