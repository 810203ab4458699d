// SPDX-License-Identifier: Apache-2.0
// What a sheet shows beyond chance, in hand language, with one thing to do for each.
#ifndef TRUEPULL_EDITION_HABITS_H_
#define TRUEPULL_EDITION_HABITS_H_

#include "edition/growth.h"
#include "edition/sheet_fit.h"
#include "truepull/edition.h"

namespace truepull {

struct HabitInput {
  const Plan* plan = nullptr;
  const SheetReview* review = nullptr;  // Drift, spread and growth filled in.
  const SheetFit* fit = nullptr;        // With the faults of plate and block taken out.
  const SheetGrowth* growth = nullptr;
  bool from_start = false;              // Its growth starts from an end that lies right.
  const std::vector<PlateFault>* plates = nullptr;  // Those that concern this sheet.
  const std::vector<BlockFault>* blocks = nullptr;
  double level = 0.01;                  // For this sheet.
  const ReviewThresholds* thresholds = nullptr;
};

/// Largest first. Nothing that lies within chance or under the least size is named.
std::vector<Habit> FindHabits(const HabitInput& input);

}  // namespace truepull

#endif  // TRUEPULL_EDITION_HABITS_H_
