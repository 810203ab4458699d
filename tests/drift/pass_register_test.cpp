// SPDX-License-Identifier: Apache-2.0
#include "truepull/pass_register.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/sheets.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

// A pass pulled by a hand with this spread onto where another lies; both measured with noise of 0.03 mm.
SheetReading PulledOnto(const SheetReading& below, double hand_mm, std::mt19937_64& random) {
  SheetReading out = below;
  Scatter(out, hand_mm, 0.003, random);
  return out;
}

TEST(RegisterBetween, FindsTheHandAndItsHabit) {
  const Plan plan = RectanglePlan(8, 8);
  std::mt19937_64 random(61);
  SheetReading first = ReadingAtIdeal(plan);
  Scatter(first, 1.0, 0.01, random);
  SheetReading second = PulledOnto(first, 0.3, random);
  for (SiteReading& s : second.sites) s.found.at.x += 0.4;
  second.sites[9].state = SiteState::kMissing;
  const PassRegister r = RegisterBetween(plan, second, first);
  EXPECT_EQ(r.sites.size(), 63u);
  EXPECT_NEAR(r.mean.x, 0.4, 3 * r.sd_mean_mm);
  EXPECT_NEAR(r.mean.y, 0, 3 * r.sd_mean_mm);
  EXPECT_NEAR(r.sd_mean_mm, 0.3 / 8, 0.01);
  // Whatever the first pass's own drift of 1 mm.
  EXPECT_NEAR(r.spread_mm, 0.3, 0.06);
}

TEST(RegisterBetween, TakesTheSheetsGrowthAway) {
  const Plan plan = RectanglePlan(3, 3);
  const SheetReading dry = ReadingAtIdeal(plan);
  SheetReading damp = dry;
  for (SiteReading& s : damp.sites) {
    const Point middle = s.found.at + Point{30, 22.5};
    s.found.at = Point{1.01 * middle.x, 1.002 * middle.y} - Point{30, 22.5};
  }
  for (const SiteRegister& s : RegisterBetween(plan, damp, dry, 0.01, 0.002).sites) EXPECT_LT(Norm(s.shift), 1e-9);
}

// Four passes by one hand: by the one before each time, or all by the first.
TEST(RegisterBetween, ErrorsWanderAlongAChainAndDoNotByOneKey) {
  const Plan plan = RectanglePlan(20, 20);
  std::mt19937_64 random(62);
  SheetReading key = ReadingAtIdeal(plan);
  Scatter(key, 1.0, 0.01, random);
  SheetReading chain = key;
  for (int k = 0; k < 3; ++k) chain = PulledOnto(chain, 0.3, random);
  const SheetReading by_key = PulledOnto(key, 0.3, random);
  // At the middle, 27 mm in the mean from the reference point, the turns of 0.003 rad add their part.
  const double kOne = std::hypot(0.3, 0.003 * 26.5);
  EXPECT_NEAR(RegisterBetween(plan, chain, key).spread_mm, kOne * std::sqrt(3.0), 0.04);
  EXPECT_NEAR(RegisterBetween(plan, by_key, key).spread_mm, kOne, 0.03);
}

TEST(ChainWords, SayWhatAChainCosts) {
  Plan plan = RectanglePlan(1, 1);
  const auto add = [&](const char* name, const char* to) {
    Pass p;
    p.name = name, p.registers_to = to;
    plan.passes.push_back(p);
  };
  add("mid", "first"), add("dark", "mid"), add("key", "dark"), add("glaze", "first");
  EXPECT_THAT(ChainOf(plan, "key"), ElementsAre("key", "dark", "mid", "first"));
  EXPECT_EQ(ChainWords(plan, "glaze"), "");
  EXPECT_EQ(ChainWords(plan, "mid"), "");
  EXPECT_THAT(ChainWords(plan, "key"), HasSubstr("key will lie on first with 1.7 times the spread of one placement"));
}

}  // namespace
}  // namespace truepull::testing
