// SPDX-License-Identifier: Apache-2.0
#include "truepull/pull_order.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "layout/tiles.h"
#include "truepull/layout_pages.h"
#include "truepull/site_colours.h"

namespace truepull {
namespace {

using namespace testing;

Plan Gull(int colours, RepeatKind kind = RepeatKind::kOwn) {
  Plan plan = PlanOf(Gulls(kind), FitOnSheet(Gulls(kind)).value(), "Gulls");
  const std::vector<std::string> all{"#3a62a8", "#f0d060", "#7b4fa0"};
  plan.colours.assign(all.begin(), all.begin() + colours);
  if (colours > 0) plan.colour_map = SpreadColoursOver(plan, colours)->map;
  return plan;
}

TEST(OrderPulls, EachSiteOnceColourByColourLightestFirst) {
  const Plan plan = Gull(2);
  const PullOrder order = OrderPulls(plan, {}).value();
  std::set<Site> sites;
  int changes = 0;
  for (std::size_t k = 0; k < order.pulls.size(); ++k) {
    sites.insert(order.pulls[k].site);
    EXPECT_EQ(order.pulls[k].colour, PlannedColour(plan, order.pulls[k].site));
    changes += k > 0 && order.pulls[k].colour != order.pulls[k - 1].colour;
    EXPECT_EQ(order.pulls[k].wash_before, k > 0 && order.pulls[k].colour != order.pulls[k - 1].colour);
  }
  EXPECT_EQ(sites.size(), 30u);
  EXPECT_EQ(changes, 1);
  EXPECT_EQ(order.washes, 2);  // Between the colours, and at the end.
  EXPECT_EQ(order.pulls[0].colour, 1);  // Yellow before blue.
  EXPECT_DOUBLE_EQ(order.minutes, 30 * 2 + 3);
}

// The hand comes from the near side and its own side: no tile pulled before, in the same
// round, may lie nearer, or as near and further towards the hand.
TEST(OrderPulls, KeepsTheHandOffWetWork) {
  for (const RepeatKind kind : {RepeatKind::kStraight, RepeatKind::kHalfDrop, RepeatKind::kBrick}) {
    for (const bool left : {false, true}) {
      const Plan plan = Gull(kind == RepeatKind::kStraight ? 2 : 3, kind);
      PullOrderRequest r;
      r.left_handed = left;
      const PullOrder order = OrderPulls(plan, r).value();
      for (std::size_t k = 0; k < order.pulls.size(); ++k) {
        for (std::size_t i = 0; i < k; ++i) {
          if (order.pulls[i].colour != order.pulls[k].colour) continue;
          const Point wet = IdealPose(plan.lattice, order.pulls[i].site).at, now = IdealPose(plan.lattice, order.pulls[k].site).at;
          EXPECT_LT(wet.y, now.y + 1);
          if (std::abs(wet.y - now.y) < 1) {
            if (left) EXPECT_GT(wet.x, now.x);
            else EXPECT_LT(wet.x, now.x);
          }
        }
      }
    }
  }
}

TEST(OrderPulls, SkipsNeighboursInAsFewRoundsAsWillDo) {
  for (const RepeatKind kind : {RepeatKind::kStraight, RepeatKind::kBrick}) {
    const Plan plan = Gull(1, kind);
    PullOrderRequest r;
    r.skip_neighbours = true;
    const PullOrder order = OrderPulls(plan, r).value();
    const std::vector<Site> sites = AllSites(plan.lattice);
    std::map<Site, int> round;
    for (const PlannedPull& p : order.pulls) round[p.site] = p.round;
    for (const auto& [a, b] : TouchingSites(plan)) {
      EXPECT_NE(round[sites[static_cast<std::size_t>(a)]], round[sites[static_cast<std::size_t>(b)]]);
    }
    EXPECT_EQ(order.pulls.back().round, kind == RepeatKind::kStraight ? 1 : 2);
    EXPECT_EQ(order.washes, 1);
  }
}

// 30 pulls of 2 minutes, damp for 20 minutes (10 pulls), damping takes 5.
TEST(OrderPulls, DampsBeforeTheSheetIsDry) {
  PullOrderRequest r;
  r.damp_every_min = 20;
  const PullOrder order = OrderPulls(Gull(0), r).value();
  std::vector<std::size_t> damp;
  for (std::size_t k = 0; k < order.pulls.size(); ++k) {
    if (order.pulls[k].damp_before) damp.push_back(k);
  }
  EXPECT_EQ(damp, (std::vector<std::size_t>{0, 10, 20}));
  EXPECT_EQ(order.dampings, 3);
  EXPECT_DOUBLE_EQ(order.minutes, 60 + 3 * 5);
}

// Lessons of 25 minutes: damp at the start (5), 10 pulls (20): 3 lessons of 10.
TEST(OrderPulls, CountsLessonsAndWashesAfterEach) {
  PullOrderRequest r;
  r.damp_every_min = 30;
  r.lesson_min = 25;
  const PullOrder order = OrderPulls(Gull(0), r).value();
  EXPECT_EQ(order.lessons, 3);
  EXPECT_EQ(order.dampings, 3);
  EXPECT_EQ(order.washes, 3);
  EXPECT_EQ(order.pulls[10].lesson, 1);
  EXPECT_DOUBLE_EQ(order.pulls[10].starts_min, 5);
  // No pull outlasts its lesson or its damp spell, whatever the numbers.
  for (const double every : {4.0, 7.5, 13.0}) {
    for (const double lesson : {11.0, 17.3, 40.0}) {
      r.damp_every_min = every;
      r.lesson_min = lesson;
      double damped = 0;
      const PullOrder timed = OrderPulls(Gull(2), r).value();
      for (const PlannedPull& p : timed.pulls) {
        if (p.damp_before) damped = p.starts_min;
        EXPECT_LE(p.starts_min + 2, lesson + 1e-9);
        EXPECT_LE(p.starts_min + 2, damped + every + 1e-9);
      }
    }
  }
}

TEST(OrderPulls, RefusesTimesThatHoldNotOnePull) {
  PullOrderRequest r;
  r.damp_every_min = 1;
  EXPECT_EQ(OrderPulls(Gull(0), r).error().message, "one pull of 2.0 minutes does not fit into a damp spell of 1.0 minutes");
  r.damp_every_min = 20;
  r.lesson_min = 9;
  EXPECT_EQ(OrderPulls(Gull(0), r).error().message, "one pull with its wash and damping takes 10.0 minutes and does not fit into a lesson of 9.0");
}

TEST(OrderPulls, TwoPlatesAreEachWashedAsSeldomAsTheirColours) {
  const OctagonPair pair = OctagonWithSquare(25);
  LayoutRequest r = OnSheet(pair.octagon, pair.steps, 420, 297);
  r.plates[0].name = "octagon";
  Plate square;
  square.name = "square", square.outline = pair.square;
  r.plates.push_back(square);
  r.cell = {{0, {}, 0, false}, {1, pair.square_at, 0, false}};
  Plan plan = PlanOf(r, FitOnSheet(r).value(), "");
  plan.colours = {"#f0d060", "#203050"};
  plan.colour_map = {{0, 1}};  // Octagons yellow, squares dark.
  const PullOrder order = OrderPulls(plan, {}).value();
  EXPECT_EQ(order.plates, 2);
  EXPECT_EQ(order.washes, 2);  // Each once, at the end.
  for (const PlannedPull& p : order.pulls) EXPECT_FALSE(p.wash_before);
}

TEST(PullOrderSteps, SayWhatToDoAndWhenToDamp) {
  const Plan plan = Gull(2);
  LayoutPagesRequest pages;
  pages.times.damp_every_min = 20;
  const PullOrder order = OrderPulls(plan, pages.times).value();
  pages.plan = &plan;
  pages.order = &order;
  pages.colour_names = {"blue", "yellow"};
  const std::vector<std::string> steps = PullOrderSteps(pages);
  ASSERT_GE(steps.size(), 6u);
  EXPECT_EQ(steps[0], "Begin with an evenly damp sheet");
  EXPECT_EQ(steps[1].substr(0, 25), "Pulls 1 to 10, yellow: A2");
  EXPECT_EQ(steps[2], "After pull 10: damp the sheet from the back");
  EXPECT_EQ(steps.back(), "After pull 30: wash the plate");
  EXPECT_NE(std::find(steps.begin(), steps.end(), "After pull 15: wash the plate"), steps.end());
}

}  // namespace
}  // namespace truepull
