// SPDX-License-Identifier: Apache-2.0
// In which order the first pass is pulled: few washes, the hand off wet work, the sheet damp.
#ifndef TRUEPULL_PULL_ORDER_H_
#define TRUEPULL_PULL_ORDER_H_

#include <optional>
#include <vector>

#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

struct PullOrderRequest {
  bool left_handed = false;
  bool skip_neighbours = false;          // No pull touches one of the same round.
  double minutes_per_pull = 2;           // With charging the plate.
  double minutes_per_wash = 3;
  double minutes_per_damping = 5;
  std::optional<double> damp_every_min;  // Until the sheet wants damping; absent: never.
  std::optional<double> lesson_min;      // Printing time of one lesson; absent: one go.
  std::vector<Site> skip;                // Sites that are not pulled.
};

struct PlannedPull {
  Site site;
  int colour = -1;           // Index into the plan's colours; -1: no colour map.
  int plate = 0;             // Index into the plan's plates, ...
  bool mirrored = false;     // ... or its mirror image, which is a plate of its own.
  int round = 0;             // From 0, within one colour and plate.
  int lesson = 0;            // From 0.
  bool wash_before = false;  // The plate carries another colour.
  bool damp_before = false;  // Also at the start of every lesson of a damp sheet.
  double starts_min = 0;     // Since the lesson began.
};

struct PullOrder {
  std::vector<PlannedPull> pulls;
  int plates = 0;            // Plates in use, mirrored ones counted apart.
  int washes = 0;            // Between colours, and every used plate after each lesson.
  int dampings = 0;
  int lessons = 0;
  double minutes = 0;        // Pulls, dampings and the washes between; of all lessons.
};

/// Orders the pulls.
///
/// Pulls go colour by colour, the lightest first, and within a colour plate by plate: each
/// plate is washed once less than it has colours. Within that the far side (the top of the
/// sheet) comes first, and in each band the side away from the hand: from left to right for
/// the right hand. So no pull of the same round lies under the hand. With `skip_neighbours`
/// each colour is pulled in rounds, so few as keep touching tiles apart.
///
/// A pull never starts unless it ends before the sheet wants damping and before the lesson
/// is over; washing and damping take their time too. A new lesson begins with a damp sheet
/// and clean plates. Fails with kBadArgument where one pull does not fit into these times.
Result<PullOrder> OrderPulls(const Plan& plan, const PullOrderRequest& request);

}  // namespace truepull

#endif  // TRUEPULL_PULL_ORDER_H_
