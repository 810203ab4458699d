// SPDX-License-Identifier: Apache-2.0
#include "truepull/corrections_text.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/sheets.h"

namespace truepull::testing {
namespace {

const Plan& SmallPlan() {
  static const Plan plan = RectanglePlan(3, 4);
  return plan;
}

// The first line of a refusal.
std::string Refusal(const std::string& sites) {
  const auto parsed = ParseCorrections("truepull: 1\nsites:\n" + sites, "corrections.yaml", SmallPlan());
  if (parsed) return "accepted";
  return parsed.error().message.substr(0, parsed.error().message.find('\n'));
}

TEST(ParseCorrections, ReadsEveryWord) {
  const auto parsed = ParseCorrections(
      "truepull: 1\n"
      "kind: corrections\n"
      "sites:\n"
      "  - {site: C2, action: leave, accepted: true, reason: smudged}\n"
      "  - {row: 0, column: 3, state: weak, nudge: [0.4, -0.2], nudge_turn: 90}\n"
      "  - {site: A1, not_a_pull: true}\n"
      "  - {site: A2, action: keep turned}\n",
      "corrections.yaml", SmallPlan());
  ASSERT_TRUE(parsed.has_value()) << parsed.error().message;
  ASSERT_EQ(parsed->size(), 4u);
  const Correction& a = (*parsed)[0];
  EXPECT_EQ(a.site, (Site{2, 1}));
  EXPECT_EQ(a.action, Action::kLeave);
  EXPECT_TRUE(a.accepted);
  EXPECT_EQ(a.reason, "smudged");
  EXPECT_FALSE(a.state.has_value());
  const Correction& b = (*parsed)[1];
  EXPECT_EQ(b.site, (Site{0, 3}));
  EXPECT_EQ(b.state, SiteState::kWeak);
  EXPECT_EQ(b.nudge_mm, (Point{0.4, -0.2}));
  EXPECT_NEAR(b.nudge_turn_rad, std::numbers::pi / 2, 1e-15);
  EXPECT_TRUE((*parsed)[2].not_a_pull);
  EXPECT_TRUE((*parsed)[3].keep_turned);
  EXPECT_TRUE((*parsed)[3].accepted);
  EXPECT_FALSE((*parsed)[3].action.has_value());
}

TEST(ParseCorrections, TakesAnEmptyList) {
  const auto parsed = ParseCorrections("truepull: 1\nsites: []\n", "c", SmallPlan());
  ASSERT_TRUE(parsed.has_value());
  EXPECT_TRUE(parsed->empty());
}

TEST(ParseCorrections, SaysWhereAndWhatIsWrong) {
  EXPECT_EQ(Refusal("  - {site: D1}\n"),
            "corrections.yaml:3:5: sites[0] is about D1 (row 3, column 0), which the plan does not have");
  EXPECT_EQ(Refusal("  - {site: c2}\n"),
            "corrections.yaml:3:12: sites[0].site must be a row letter and a column number from 1, such as C2, not c2");
  EXPECT_EQ(Refusal("  - {action: leave}\n"), "corrections.yaml:3:5: sites[0] does not say which site it is about");
  EXPECT_EQ(Refusal("  - {site: A1, row: 0, column: 0}\n"), "corrections.yaml:3:5: sites[0] names its site twice");
  EXPECT_EQ(Refusal("  - {row: 1}\n"), "corrections.yaml:3:5: sites[0].column is missing");
  EXPECT_EQ(Refusal("  - {site: A1}\n  - {site: A1}\n"),
            "corrections.yaml:4:5: sites[1] is about A1, as sites[0] is already");
  EXPECT_EQ(Refusal("  - {site: A1, action: leaf}\n"),
            "corrections.yaml:3:24: sites[0].action must be pull, strengthen, leave, look or keep turned, not leaf");
  EXPECT_EQ(Refusal("  - {site: A1, nudge: [1]}\n"),
            "corrections.yaml:3:23: sites[0].nudge needs at least 2 numbers (x and y), not 1");
  EXPECT_EQ(Refusal("  - {site: A1, nudge: [1, 200]}\n"),
            "corrections.yaml:3:27: sites[0].nudge[1] must be 100 mm or less, not 200");
  EXPECT_EQ(Refusal("  - {site: A1, state: weak, not_a_pull: true}\n"),
            "corrections.yaml:3:23: sites[0].state cannot be weak where not_a_pull is true");
  EXPECT_EQ(Refusal("  - {site: A1, colour: red}\n"), "corrections.yaml:3:16: sites[0].colour is not a key that is known here");
}

TEST(WritePlacementsCsv, WritesOneRowPerSite) {
  Placement p;
  p.site = {2, 1};
  p.action = Action::kStrengthen;
  p.place = {{91.23456, 150}, RadFromDeg(-179.5)};
  p.from_ideal = {-0.00001, 2.5};
  p.from_ideal_turn_rad = RadFromDeg(0.25);
  const std::string head =
      "row,column,action,x_mm,y_mm,turn_deg,from_ideal_dx_mm,from_ideal_dy_mm,from_ideal_dturn_deg,order,register_mm,reason\n";
  EXPECT_EQ(WritePlacementsCsv({p}), head + "2,1,strengthen,91.2346,150.0000,-179.5000,0.0000,2.5000,0.2500,,,\n");
  p.order = 7;
  p.register_mm = 0.25;
  p.reason = "pale, says \"Ada\"";
  EXPECT_EQ(WritePlacementsCsv({p}),
            head + "2,1,strengthen,91.2346,150.0000,-179.5000,0.0000,2.5000,0.2500,7,0.2500,\"pale, says \"\"Ada\"\"\"\n");
}

TEST(WriteSeamsCsv, WritesOneRowPerPairAndLeavesUnknownCellsEmpty) {
  SeamOutlook s;
  s.a = {0, 1}, s.b = {1, 1};
  s.on_register = SeamOutlook::Gap{0.25, -0.5};
  s.fit = SeamOutlook::Gap{0, 0.00001};
  EXPECT_EQ(WriteSeamsCsv({s}),
            "row,column,neighbour_row,neighbour_column,gap_mm_found,gap_mm_register,gap_mm_fit,gap_mm_chosen,"
            "worst_mm_found,worst_mm_register,worst_mm_fit,worst_mm_chosen\n"
            "0,1,1,1,,0.2500,0.0000,,,-0.5000,0.0000,\n");
}

}  // namespace
}  // namespace truepull::testing
