// SPDX-License-Identifier: Apache-2.0
// The plan's `lattice`: origin, steps, rows, columns, turns, stagger and cell.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/nearest_word.h"
#include "io/plan_reading.h"

namespace truepull {
namespace {

constexpr double kFurthestOriginMm = 2 * kLargestSheetMm;
// Steps under this sine of the angle between them are one line for any hand.
constexpr double kSmallestSine = 1e-3;

Point ReadStep(const YamlCursor& at, double mm_per_unit) {
  const Point step = ReadPoint(at, mm_per_unit, kLargestSheetMm);
  if (at.IsList() && Norm(step) < 0.1) at.Fail("must be a step of 0.1 mm or more", "a step leads from one site to the next");
  return step;
}

// `rows` or `columns`: a count, or `fit` with `origin: fit`.
int ReadCount(const YamlCursor& at, bool origin_is_fit, bool& fit) {
  if (at.IsWord("fit")) {
    if (!origin_is_fit) at.Fail("can be fit only where lattice.origin is fit too");
    fit = true;
    return 1;
  }
  return at.Whole(1, kMostSites);
}

void ReadTurns(const YamlCursor& at, Lattice& lattice) {
  if (!at.ExpectList(1, 1000, "turns")) return;
  lattice.turns_rad.clear();
  for (std::size_t i = 0; i < at.size(); ++i) {
    lattice.turns_rad.push_back(RadFromDeg(at.Item(i).Number({.low = -360, .high = 360, .unit = "degrees"})));
  }
}

void ReadStagger(const YamlCursor& at, Lattice& lattice) {
  if (!at.ExpectMap({"rows", "columns"})) return;
  const YamlCursor rows = at["rows"], columns = at["columns"];
  if (rows.present() && columns.present()) return at.Fail("may have rows or columns, not both");
  const NumberRange range{.low = -1, .high = 1, .open_low = true, .open_high = true};
  lattice.stagger_rows = rows.Number(range);
  lattice.stagger_columns = columns.Number(range);
}

int ReadPlateName(const YamlCursor& member, const Plan& plan) {
  const YamlCursor at = member["plate"];
  if (!at.present()) {
    if (plan.plates.size() != 1) at.Fail("is missing", "say which plate stands there");
    return 0;
  }
  const std::string name = at.Text(kLongestName);
  std::vector<std::string> names;
  for (std::size_t i = 0; i < plan.plates.size(); ++i) {
    if (plan.plates[i].name == name) return static_cast<int>(i);
    names.push_back(plan.plates[i].name);
  }
  at.Fail("names no plate of this plan: " + at.Found(), "the plan has " + ListedWithOr(names));
  return 0;
}

void ReadCell(const YamlCursor& at, PlanInProgress& out) {
  if (!at.ExpectList(1, 100, "members")) return;
  out.plan.lattice.cell.clear();
  for (std::size_t i = 0; i < at.size(); ++i) {
    const YamlCursor item = at.Item(i);
    CellMember member;
    if (item.ExpectMap({"plate", "at", "turn", "mirrored"})) {
      member.plate = ReadPlateName(item, out.plan);
      member.at = ReadPoint(item["at"], out.mm_per_unit, kLargestSheetMm);
      member.turn_rad = RadFromDeg(item["turn"].Number({.low = -360, .high = 360, .unit = "degrees"}));
      member.mirrored = item["mirrored"].TrueOrFalse();
    }
    out.plan.lattice.cell.push_back(member);
  }
}

void CheckSteps(const YamlCursor& at, const Lattice& lattice) {
  const double sine = std::abs(Cross(lattice.across, lattice.down)) / (Norm(lattice.across) * Norm(lattice.down));
  if (!(sine >= kSmallestSine)) {
    at["down"].Fail("runs along lattice.across, so that the rows would lie on one another");
  }
}

void CheckSiteCount(const YamlCursor& at, const Lattice& lattice) {
  const auto members = static_cast<long long>(lattice.cell.size());
  const long long sites = static_cast<long long>(lattice.rows) * lattice.columns * members;
  if (sites > kMostSites) {
    at["rows"].Fail(fmt::format("x columns{} makes {} sites; a plan may have at most {}",
                                members > 1 ? fmt::format(" x {} in a cell", members) : "", sites, kMostSites));
  }
}

}  // namespace

void ReadLattice(const YamlCursor& at, PlanInProgress& out) {
  if (!at.ExpectMap({"origin", "turn", "across", "down", "rows", "columns", "turns", "stagger", "cell"})) return;
  Lattice& lattice = out.plan.lattice;
  const YamlCursor origin = at.Need("origin"), turn = at["turn"];
  lattice.fit_origin = origin.IsWord("fit");
  if (!lattice.fit_origin) {
    if (origin.present() && !origin.IsList()) origin.Fail("must be two numbers [x, y] or fit, not " + origin.Found());
    else lattice.origin = ReadPoint(origin, out.mm_per_unit, kFurthestOriginMm);
  }
  if (turn.present()) {
    turn.Choice({"fit"});
    if (!lattice.fit_origin) turn.Fail("can be fit only where lattice.origin is fit too");
    lattice.fit_turn = true;
  }
  lattice.across = ReadStep(at.Need("across"), out.mm_per_unit);
  lattice.down = ReadStep(at.Need("down"), out.mm_per_unit);
  CheckSteps(at, lattice);
  lattice.rows = ReadCount(at.Need("rows"), lattice.fit_origin, lattice.fit_rows);
  lattice.columns = ReadCount(at.Need("columns"), lattice.fit_origin, lattice.fit_columns);
  ReadTurns(at["turns"], lattice);
  ReadStagger(at["stagger"], lattice);
  const YamlCursor cell = at["cell"];
  ReadCell(cell, out);
  if (!cell.present() && out.plan.plates.size() > 1) {
    cell.Fail("is missing", "the plan has several plates: say which of them stand in each cell, and where");
  }
  CheckSiteCount(at, lattice);
}

}  // namespace truepull
