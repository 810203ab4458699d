// SPDX-License-Identifier: Apache-2.0
#include "layout/forms.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace truepull::layout {
namespace {

constexpr int kFurthest = 3;       // Steps of the lattice looked at: up to 3 of each.
constexpr int kMostTogether = 4;   // Rows or columns taken together as one cell.

// p and q with i q - j p = 1, for coprime i and j.
void Complement(int i, int j, int& p, int& q) {
  for (p = -kFurthest; p <= kFurthest; ++p) {
    for (q = -kFurthest; q <= kFurthest; ++q) {
      if (i * q - j * p == 1) return;
    }
  }
}

// Cells of `k` steps along `step` made one: each of the k copies is set back by whole
// `other` steps, so that they follow the straight line along `sum`.
std::vector<CellMember> Together(const std::vector<CellMember>& cell, int k, Point step, Point other, Point sum) {
  std::vector<CellMember> out;
  for (int n = 0; n < k; ++n) {
    const Point at = static_cast<double>(n) * step;
    const Point line = (static_cast<double>(n) / k) * sum;
    const double back = std::round(Dot(line - at, other) / Dot(other, other));
    for (CellMember m : cell) {
      m.at = m.at + at + back * other;
      out.push_back(m);
    }
  }
  return out;
}

// Forms whose rows run along `a`; `d` leads to the next row. With `swap` rows and columns
// change parts: d is then a column step that leads along x.
void AddForms(Point a, Point d, const std::vector<CellMember>& cell, bool swap, std::vector<Form>& out) {
  const auto add = [&](Point along, Point next, double stagger, std::vector<CellMember> members, int plainness) {
    Form f;
    f.across = swap ? next : along;
    f.down = swap ? along : next;
    (swap ? f.stagger_columns : f.stagger_rows) = stagger;
    f.cell = std::move(members);
    f.plainness = plainness;
    out.push_back(std::move(f));
  };
  // How many a's bring the k-th row back under (beside) the first.
  const double lean = swap ? -d.y / a.y : -d.x / a.x;
  for (int k = 1; k <= kMostTogether; ++k) {
    for (const double m : {std::floor(k * lean), std::ceil(k * lean)}) {
      const Point sum = static_cast<double>(k) * d + m * a;
      const bool odd = std::fmod(std::abs(m), 2) > 0.5;
      if (k == 1) add(a, sum, 0, cell, 0);
      if (k == 2 && odd) add(a, 0.5 * sum, 0.5, cell, 1);
      if (k > 2) add(a, sum, 0, Together(cell, k, d, a, sum), 2);
      if (std::floor(k * lean) == std::ceil(k * lean)) break;
    }
  }
}

}  // namespace

std::vector<Form> FormsOf(const LatticeSteps& steps, const std::vector<CellMember>& cell) {
  std::vector<Form> out;
  for (int i = -kFurthest; i <= kFurthest; ++i) {
    for (int j = -kFurthest; j <= kFurthest; ++j) {
      if (std::gcd(i, j) != 1) continue;
      const Point v = static_cast<double>(i) * steps.across + static_cast<double>(j) * steps.down;
      int p = 0, q = 0;
      Complement(i, j, p, q);
      const Point w = static_cast<double>(p) * steps.across + static_cast<double>(q) * steps.down;
      // A step along x is as good as its opposite; both ways of a diagonal one are tried.
      if (v.x > 0 && std::abs(v.x) >= std::abs(v.y) - 1e-9) AddForms(v, w, cell, false, out);
      if (v.y > 0 && std::abs(v.y) >= std::abs(v.x) - 1e-9) AddForms(v, -1.0 * w, cell, true, out);
    }
  }
  return out;
}

std::optional<Form> UprightForm(const LatticeSteps& steps, const std::vector<CellMember>& cell, RepeatKind kind) {
  const double det = std::abs(Cross(steps.across, steps.down));
  const double slack = 1e-6 * std::sqrt(det);
  // The shortest step along x (or y) of the lattice, and the width of the bands across it.
  const bool by_columns = kind == RepeatKind::kHalfDrop;
  const auto along = [&](Point p) { return by_columns ? p.y : p.x; };
  const auto across = [&](Point p) { return by_columns ? p.x : p.y; };
  constexpr int kReach = 6;
  std::optional<Point> step;
  for (int i = -kReach; i <= kReach; ++i) {
    for (int j = -kReach; j <= kReach; ++j) {
      const Point v = static_cast<double>(i) * steps.across + static_cast<double>(j) * steps.down;
      if (std::abs(across(v)) < slack && along(v) > slack && (!step || along(v) < along(*step))) step = v;
    }
  }
  if (!step) return std::nullopt;
  const double length = along(*step), band = det / length;
  std::optional<double> back;  // How far the next band is set back, in shares of the step.
  for (int i = -kReach; i <= kReach && !back; ++i) {
    for (int j = -kReach; j <= kReach && !back; ++j) {
      const Point v = static_cast<double>(i) * steps.across + static_cast<double>(j) * steps.down;
      if (std::abs(across(v) - band) < slack) back = along(v) / length - std::floor(along(v) / length + 1e-9);
    }
  }
  if (!back) return std::nullopt;
  const double wanted = kind == RepeatKind::kStraight ? 0 : 0.5;
  if (std::abs(*back - wanted) > 1e-6) return std::nullopt;
  Form f;
  f.cell = cell;
  f.plainness = kind == RepeatKind::kStraight ? 0 : 1;
  f.across = by_columns ? Point{band, 0} : Point{length, 0};
  f.down = by_columns ? Point{0, length} : Point{0, band};
  if (kind == RepeatKind::kBrick) f.stagger_rows = 0.5;
  if (kind == RepeatKind::kHalfDrop) f.stagger_columns = 0.5;
  return f;
}

Form Turned(const Form& form, double turn_rad) {
  if (turn_rad == 0) return form;
  const Rotation turn(turn_rad);
  Form f = form;
  f.across = turn * f.across;
  f.down = turn * f.down;
  for (CellMember& m : f.cell) m.at = turn * m.at;
  return f;
}

LatticeSteps StepsOf(const Form& f) {
  if (f.stagger_rows != 0) return {f.across, f.down + f.stagger_rows * f.across};
  if (f.stagger_columns != 0) return {f.across + f.stagger_columns * f.down, f.down};
  return {f.across, f.down};
}

}  // namespace truepull::layout
