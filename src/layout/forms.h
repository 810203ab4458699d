// SPDX-License-Identifier: Apache-2.0
// The ways in which one lattice can be counted in rows and columns.
#ifndef TRUEPULL_SRC_LAYOUT_FORMS_H_
#define TRUEPULL_SRC_LAYOUT_FORMS_H_

#include <vector>

#include "truepull/layout.h"

namespace truepull::layout {

/// Rows and columns without a place: what a plan's lattice holds besides origin and counts.
struct Form {
  Point across, down;
  double stagger_rows = 0, stagger_columns = 0;
  std::vector<CellMember> cell;
  int plainness = 0;  // 0: plain steps; 1: staggered; 2: several rows or columns to a cell.
};

/// Every form of a lattice worth trying on an upright sheet. Steps and cell as they lie on
/// the sheet.
std::vector<Form> FormsOf(const LatticeSteps& steps, const std::vector<CellMember>& cell);

/// The straight, half-drop or brick form of the same lattice, if it has one: steps square
/// to one another along x and y.
std::optional<Form> UprightForm(const LatticeSteps& steps, const std::vector<CellMember>& cell, RepeatKind kind);

/// A form turned about the origin, members' turns with it.
Form Turned(const Form& form, double turn_rad);

/// The lattice steps of a form without its stagger.
LatticeSteps StepsOf(const Form& form);

}  // namespace truepull::layout

#endif  // TRUEPULL_SRC_LAYOUT_FORMS_H_
