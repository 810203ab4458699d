// SPDX-License-Identifier: Apache-2.0
// What is odd about a plan but not wrong: gutters, overlaps, sites off the sheet.
#ifndef TRUEPULL_PLAN_PLAN_WARNINGS_H_
#define TRUEPULL_PLAN_PLAN_WARNINGS_H_

#include <string>
#include <vector>

#include "truepull/plan.h"

namespace truepull {

/// Gap between neighbours that the lattice leaves, mm; below zero it is an overlap.
/// One cell's area less the tiles' areas, spread over half the tiles' outlines (each
/// gap is shared by two): 2 (|det(across, down)| - sum area) / sum perimeter. Exact for
/// a narrow even gutter.
double MeanGutter(const Plan& plan);

/// Plain sentences, most important first.
std::vector<std::string> PlanWarnings(const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_PLAN_PLAN_WARNINGS_H_
