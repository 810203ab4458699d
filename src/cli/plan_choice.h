// SPDX-License-Identifier: Apache-2.0
// Which plan, pass and code a photo goes by: its sheet card, what edition.yaml says, the fit.
#ifndef TRUEPULL_CLI_PLAN_CHOICE_H_
#define TRUEPULL_CLI_PLAN_CHOICE_H_

#include <string>
#include <vector>

#include "cli/sheet_place.h"
#include "truepull/photo.h"
#include "truepull/plan.h"
#include "truepull/result.h"
#include "truepull/sheet_card_reading.h"
#include "truepull/tile_reading.h"

namespace truepull {

struct NamedPlan {
  std::string name;                  // File name.
  Plan plan;
  std::string key;                   // Of its contents.
  std::vector<std::string> warnings;
};

/// Reads plans from files.
Result<std::vector<NamedPlan>> LoadPlans(const std::vector<std::string>& files);

/// The code that a card gives: "07". Empty without a card, and where cards disagree.
std::string CodeOfCard(const FoundCard& card);

/// The plan's name for a card's pass: 1 is "first". Empty when the plan has no such pass.
std::string PassOfCard(const Plan& plan, int card_pass);

/// The plan as a later pass shows it: its outline where it has its own, its colour on edge and body. The
/// plan itself for the first. Fails with kBadArgument when the plan has no such pass.
Result<Plan> PlanOfPass(const Plan& plan, const std::string& pass);

/// `prints: measured` stands in a reading's plan in numbers, as this sheet had it.
void KeepMeasuredPrints(Reading& reading);

/// Measures a photo by a plan, as `pass` ("first", or a later one) shows it. The reading holds the plan
/// itself.
/// by  What the sheet's place is taken from; its sides where nothing is said.
Result<Reading> MeasureByPlan(const Photo& photo, const Plan& plan, const std::string& pass, int threads, const SheetPlaceBy& by = {});

/// Why a reading shows that the plan is not the sheet's, or too little of it; empty when it fits.
std::string WhyNotUsable(const Reading& reading);

/// Which of several readings of one photo, each by its own plan, explains it best; `doubt` (not empty)
/// says why none was chosen.
struct PlanChoice {
  std::size_t best = 0;
  std::string doubt;
};
PlanChoice ChoosePlan(const std::vector<Reading>& readings, const std::vector<std::string>& names);

}  // namespace truepull

#endif  // TRUEPULL_CLI_PLAN_CHOICE_H_
