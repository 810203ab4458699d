// SPDX-License-Identifier: Apache-2.0
// Control charts against printed tables and worked examples.
#include "truepull/run_chart.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "support/published.h"

namespace truepull::testing {
namespace {

constexpr RunRule kAllRules[] = {RunRule::kBeyond,     RunRule::kOneSide,    RunRule::kTrend,   RunRule::kAlternating,
                                 RunRule::kTwoOfThree, RunRule::kFourOfFive, RunRule::kTooCalm, RunRule::kNoneNear};

TEST(ChartConstants, AgreeWithThePublishedTableToItsLastDigit) {
  const auto rows = PublishedRows("control_chart_constants.csv");
  ASSERT_EQ(rows.size(), 24u);
  for (const auto& r : rows) {
    const ChartConstants c = ChartConstantsFor(static_cast<int>(r[0]));
    const double ours[] = {c.d2, c.d3, c.c4, c.a, c.a2, c.a3, c.d_lower_1, c.d_upper_1, c.d_lower, c.d_upper,
                           c.b_lower, c.b_upper, c.b_lower_sigma, c.b_upper_sigma, c.e2};
    for (std::size_t k = 0; k < 15; ++k) EXPECT_NEAR(ours[k], r[k + 1], 6e-7) << "n = " << r[0] << ", column " << k + 1;
  }
}

TEST(ChartConstants, ForTwoValuesAreExact) {
  const ChartConstants c = ChartConstantsFor(2);
  EXPECT_NEAR(c.d2, 2 / std::sqrt(M_PI), 1e-9);          // 1.128379167
  EXPECT_NEAR(c.d3, std::sqrt(2 - 4 / M_PI), 1e-7);
  EXPECT_NEAR(c.c4, std::sqrt(2 / M_PI), 1e-12);
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: flow rates of ten batches.
// There d2 is rounded to 1.128 and the limits are 55.8041 and 45.8159; with the exact d2
// they are 55.80241 and 45.81759.
TEST(IndividualsChart, GivesTheHandbooksFlowRateLimits) {
  const std::vector<double> flow{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  const RunChart chart = IndividualsChart(flow);
  EXPECT_NEAR(chart.centre, 50.81, 1e-9);
  EXPECT_NEAR(chart.upper, 55.80241, 6e-6);
  EXPECT_NEAR(chart.lower, 45.81759, 6e-6);
  const double with_rounded_d2 = 3 * (chart.sigma * 2 / std::sqrt(M_PI)) / 1.128;
  EXPECT_NEAR(chart.centre + with_rounded_d2, 55.8041, 5e-5);
  EXPECT_NEAR(chart.centre - with_rounded_d2, 45.8159, 5e-5);
  const RunChart ranges = MovingRangeChart(flow);
  EXPECT_NEAR(ranges.centre, 1.8778, 5e-5);
  EXPECT_NEAR(ranges.upper, 6.1347, 1.5e-3);             // There D4 is rounded to 3.267.
  EXPECT_THAT(RunSignals(chart, std::vector<RunRule>{RunRule::kBeyond}), ::testing::IsEmpty());
}

// Montgomery's piston rings: 25 samples of 5 set the limits.
TEST(MeanRangeCharts, GiveThePistonRingLimitsAndFlags) {
  std::vector<std::vector<double>> samples;
  for (const auto& r : PublishedRows("piston_rings.csv")) samples.emplace_back(r.begin() + 2, r.end());
  ASSERT_EQ(samples.size(), 40u);
  const MeanRangeCharts by_range = MeanAndRange(samples, 25);
  EXPECT_NEAR(by_range.means.centre, 74.001176, 5e-7);
  EXPECT_NEAR(by_range.ranges.centre, 0.02276, 5e-6);
  EXPECT_NEAR(by_range.means.upper, 74.01430, 6e-6);
  EXPECT_NEAR(by_range.means.lower, 73.98805, 6e-6);
  EXPECT_NEAR(by_range.ranges.upper, 0.04813, 6e-6);
  EXPECT_NEAR(by_range.ranges.sigma, 0.0097853, 6e-8);
  const MeanRangeCharts by_sd = MeanAndSd(samples, 25);
  EXPECT_NEAR(by_sd.ranges.centre, 0.0092400, 6e-8);
  EXPECT_NEAR(by_sd.means.upper, 74.01436, 6e-6);
  EXPECT_NEAR(by_sd.means.lower, 73.98799, 6e-6);
  EXPECT_NEAR(by_sd.ranges.upper, 0.01930, 6e-6);
  EXPECT_NEAR(by_sd.ranges.sigma, 0.0098300, 6e-8);
  std::vector<std::size_t> flagged;
  for (const RunSignal& s : RunSignals(by_range.means, std::vector<RunRule>{RunRule::kBeyond})) flagged.push_back(s.at + 1);
  EXPECT_THAT(flagged, ::testing::ElementsAre(37u, 38u, 39u));
}

RunChart Standard(std::vector<double> values) {
  RunChart chart;
  chart.values = std::move(values);
  chart.sigma = 1, chart.lower = -3, chart.upper = 3;
  return chart;
}

std::vector<std::pair<int, std::size_t>> SignalsOf(const RunChart& chart) {
  std::vector<std::pair<int, std::size_t>> out;
  for (const RunSignal& s : RunSignals(chart, kAllRules)) out.emplace_back(static_cast<int>(s.rule), s.at);
  return out;
}

// Each pattern by hand, one short of the count and with it.
TEST(RunRules, SpeakAtTheirCountAndNotBefore) {
  using ::testing::ElementsAre;
  using ::testing::IsEmpty;
  using ::testing::Pair;
  EXPECT_THAT(SignalsOf(Standard({0.5, 3.01})), ElementsAre(Pair(1, 1u)));
  EXPECT_THAT(SignalsOf(Standard({0.5, 2.99})), IsEmpty());
  EXPECT_THAT(SignalsOf(Standard({.5, .4, .6, .5, .7, .3, .5, .4})), IsEmpty());
  EXPECT_THAT(SignalsOf(Standard({.5, .4, .6, .5, .7, .3, .5, .4, .6})), ElementsAre(Pair(2, 8u)));
  EXPECT_THAT(SignalsOf(Standard({-.8, -.5, -.2, .1, .4})), IsEmpty());
  EXPECT_THAT(SignalsOf(Standard({-.8, -.5, -.2, .1, .4, .7})), ElementsAre(Pair(3, 5u)));
  EXPECT_THAT(SignalsOf(Standard({1.5, -1.5, .5, -.5, .5, -.5, .5, -.5, .5, -.5, .5, -.5, .5})), IsEmpty());
  EXPECT_THAT(SignalsOf(Standard({1.5, -1.5, .5, -.5, .5, -.5, .5, -.5, .5, -.5, .5, -.5, .5, -.5})), ElementsAre(Pair(4, 13u)));
  EXPECT_THAT(SignalsOf(Standard({2.1, -0.5, 2.1})), ElementsAre(Pair(5, 2u)));
  EXPECT_THAT(SignalsOf(Standard({2.1, -0.5, -2.1})), IsEmpty());
  EXPECT_THAT(SignalsOf(Standard({1.1, 1.2, -0.5, 1.1, 1.3})), ElementsAre(Pair(6, 4u)));
  EXPECT_THAT(SignalsOf(Standard({1.1, 1.2, -0.5, 1.1, 0.9})), IsEmpty());
  EXPECT_THAT(SignalsOf(Standard({.5, -.4, .3, -.2, -.6, .5, -.4, .3, .2, -.6, .5, -.4, .3, -.2, -.6})), ElementsAre(Pair(7, 14u)));
  EXPECT_THAT(SignalsOf(Standard({1.2, -1.3, 1.2, 1.4, -1.2, -1.3, 1.1, -1.2})), ElementsAre(Pair(8, 7u)));
}

// For normal values rule 1 speaks at 0.0026998 of all points, and a given window of nine
// lies on one side with a chance of 2 / 2^9 = 0.00390625.
TEST(RunRules, SpeakByChanceAsOftenAsTheyShould) {
  std::mt19937_64 random(7);
  std::normal_distribution<double> normal;
  constexpr int kValues = 400000;
  std::vector<double> values;
  for (int i = 0; i < kValues; ++i) values.push_back(normal(random));
  int beyond = 0;
  for (const RunSignal& s : RunSignals(Standard(values), std::vector<RunRule>{RunRule::kBeyond})) beyond += s.rule == RunRule::kBeyond;
  // 99 % interval of a binomial count: +- 2.576 sqrt(n p).
  EXPECT_NEAR(beyond, 1079.9, 2.576 * std::sqrt(1079.9));
  int windows = 0, run = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    run = i > 0 && (values[i] > 0) == (values[i - 1] > 0) ? run + 1 : 1;
    windows += run >= 9;
  }
  EXPECT_NEAR(windows / static_cast<double>(kValues), 0.00390625, 0.0005);
}

TEST(StepChange, IsDatedToWhereItWasMade) {
  int right = 0, near = 0;
  for (unsigned seed = 1; seed <= 50; ++seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal(0, 0.3);
    std::vector<Point> series;
    for (int i = 0; i < 15; ++i) series.push_back({normal(random) + (i >= 9 ? 1.5 : 0), normal(random)});
    const auto step = LikeliestStep(series);
    ASSERT_TRUE(step);
    EXPECT_LT(step->p, 0.01) << "seed " << seed;
    right += step->after == 8;
    near += step->after >= 8 && step->after <= 9;
    EXPECT_LE(step->first, step->after);
    EXPECT_GE(step->last, step->after);
  }
  EXPECT_GE(right, 45);
  EXPECT_GE(near, 48);
}

TEST(StepChange, CountsItsChanceHonestly) {
  int under = 0;
  constexpr int kRuns = 400;
  StepOptions options;
  options.shuffles = 199;
  for (unsigned seed = 1; seed <= kRuns; ++seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    std::vector<Point> series;
    for (int i = 0; i < 12; ++i) series.push_back({normal(random), normal(random)});
    under += LikeliestStep(series, options)->p <= 0.05;
  }
  EXPECT_NEAR(under, 0.05 * kRuns, 2.576 * std::sqrt(kRuns * 0.05 * 0.95));
}

TEST(StepChange, SaysNothingOfFiveSheets) {
  const std::vector<Point> five{{0, 0}, {0, 0.1}, {2, 0}, {2, 0.1}, {2, 0}};
  EXPECT_FALSE(LikeliestStep(five));
}

TEST(StepChange, FindsBothOfTwoSteps) {
  std::mt19937_64 random(3);
  std::normal_distribution<double> normal(0, 0.1);
  std::vector<Point> series;
  for (int i = 0; i < 24; ++i) series.push_back({normal(random) + (i >= 8 ? 1 : 0), normal(random) - (i >= 16 ? 1 : 0)});
  const auto steps = Steps(series);
  ASSERT_EQ(steps.size(), 2u);
  EXPECT_EQ(steps[0].after, 7u);
  EXPECT_EQ(steps[1].after, 15u);
}

}  // namespace
}  // namespace truepull::testing
