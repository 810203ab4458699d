// SPDX-License-Identifier: Apache-2.0
// Editions with no fault at all: how often each check speaks.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "edition/block_fault.h"
#include "edition/made_editions.h"
#include "edition/sheet_fit.h"

namespace truepull::testing {
namespace {

constexpr int kEditions = 200;

// The 99 % interval of a count of 200 with chance p, from the binomial distribution itself.
std::pair<int, int> Interval(double p) {
  std::vector<double> below{0};
  for (int k = 0; k <= kEditions; ++k) {
    const double ln = std::lgamma(kEditions + 1.0) - std::lgamma(k + 1.0) - std::lgamma(kEditions - k + 1.0) + k * std::log(p) + (kEditions - k) * std::log1p(-p);
    below.push_back(below.back() + std::exp(ln));
  }
  int low = 0, high = kEditions;
  while (below[static_cast<std::size_t>(low + 1)] < 0.005) ++low;
  while (1 - below[static_cast<std::size_t>(high)] < 0.005) --high;
  return {low, high};
}

bool AnyTrend(const EditionReview& review) {
  for (const SheetReview& r : review.reviews) {
    for (const Habit& h : r.habits) {
      if (h.kind == HabitKind::kScatterTrend) return true;
    }
  }
  return false;
}

// At a rate of 5 % each check must speak on 3 to 19 of 200 editions (99 % interval): more is
// crying wolf, fewer means that the chance it claims is not the true one. The sizes under
// which nothing is named are set to nothing for this, so that every check shows its rate.
TEST(FalseAlarms, ComeAtTheStatedRateFromEveryCheck) {
  constexpr double kLevel = 0.05;
  std::map<std::string, int> alarms{{"shift", 0}, {"growth", 0}, {"plate", 0}, {"block", 0}, {"jump", 0}, {"scatter trend", 0}};
  for (unsigned seed = 1; seed <= kEditions; ++seed) {
    MadeEdition made;
    made.seed = 1000 + seed;
    made.plan.plates[0].outline = {{-30, -22.5}, {30, -22.5}, {30, 22.5}, {-30, 22.5}};
    made.plan.lattice.turns_rad = {0, RadFromDeg(180)};
    made.plan.lattice.rows = 3, made.plan.lattice.columns = 4;
    made.sheets = 8;
    made.lay_mm = made.lay_rad = 0;
    EditionSettings settings;
    settings.thresholds.level = kLevel;
    settings.thresholds.least_mm = 0;
    const std::vector<EditionSheet> sheets = Make(made);
    const EditionReview review = ReviewEdition(sheets, settings);
    bool shift = false;
    for (const SheetReview& r : review.reviews) shift = shift || r.shifted;
    alarms["scatter trend"] += AnyTrend(review);
    alarms["shift"] += shift;
    alarms["growth"] += !review.growths.empty();
    alarms["block"] += !review.blocks.empty();
    alarms["jump"] += !review.steps.empty();
    // Half of the rate is for all sheets together, half for each sheet's own plate.
    bool plate = false;
    for (const PlateFault& f : review.plates) plate = plate || f.found;
    alarms["plate"] += plate;
  }
  const auto [low, high] = Interval(kLevel);
  EXPECT_EQ(low, 3);
  EXPECT_EQ(high, 19);
  for (const auto& [check, count] : alarms) {
    EXPECT_GE(count, low) << check;
    EXPECT_LE(count, high) << check;
  }
}

// As it is used: 1 % for each check, and nothing under a tenth of a millimetre is named.
TEST(FalseAlarms, AreRareAsTheProgramIsUsed) {
  std::map<std::string, int> alarms{{"shift", 0}, {"growth", 0}, {"plate", 0}, {"block", 0}, {"jump", 0}, {"apart", 0}, {"scatter trend", 0}};
  for (unsigned seed = 1; seed <= kEditions; ++seed) {
    MadeEdition made;
    made.seed = 5000 + seed;
    made.plan.lattice.rows = 3, made.plan.lattice.columns = 4;
    made.sheets = 8;
    made.lay_mm = made.lay_rad = 0;
    const EditionReview review = ReviewEdition(Make(made), {});
    bool shift = false, apart = false;
    for (const SheetReview& r : review.reviews) {
      shift = shift || r.shifted;
      for (const std::string& look : r.look) apart = apart || look.find("of the others") != std::string::npos;
    }
    alarms["shift"] += shift, alarms["apart"] += apart, alarms["scatter trend"] += AnyTrend(review);
    alarms["growth"] += !review.growths.empty(), alarms["block"] += !review.blocks.empty(), alarms["jump"] += !review.steps.empty();
    for (const PlateFault& f : review.plates) alarms["plate"] += f.found;
  }
  const auto [low, high] = Interval(0.01);
  for (const auto& [check, count] : alarms) EXPECT_LE(count, high) << check;
}

}  // namespace
}  // namespace truepull::testing
