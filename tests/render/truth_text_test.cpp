// SPDX-License-Identifier: Apache-2.0
// truth.csv: written and read back.
#include "truepull/truth_text.h"

#include <gtest/gtest.h>

#include "render/render_support.h"

namespace truepull {
namespace {

TEST(TruthText, WritesTheContractsColumnsAndEmptyPosesForMissingSites) {
  TruthRow printed;
  printed.site = {0, 1};
  printed.state = SiteState::kWeak;
  printed.pose = {{12.5, 30.25}, RadFromDeg(-1.5)};
  printed.coverage = 0.5;
  printed.deposit = 0.375;
  printed.colour = 1;
  printed.colour_hex = "#b8502a";
  printed.ghost = true;
  TruthRow missing;
  missing.site = {1, 0};
  missing.colour_hex = "#3a62a8";
  EXPECT_EQ(TruthText({printed, missing}),
            "row,column,state,x_mm,y_mm,turn_deg,coverage,colour,colour_hex,ghost,deposit\n"
            "0,1,weak,12.50000,30.25000,-1.50000,0.5000,1,#b8502a,1,0.3750\n"
            "1,0,missing,,,,0.0000,other,#3a62a8,0,0.0000\n");
}

TEST(TruthText, ReadsBackWhatItWrote) {
  RenderOptions options = SmallOptions();
  options.width_px = 90;
  options.height_px = 60;
  options.hand.sd_shift_mm = 1;
  options.hand.sd_turn_rad = 0.02;
  options.ink.missing_share = 0.3;
  const auto truth = RenderSheet(SmallPlan(), options)->truth;
  const auto read = ParseTruth(TruthText(truth), "truth.csv");
  ASSERT_TRUE(read.has_value());
  ASSERT_EQ(read->size(), truth.size());
  for (std::size_t i = 0; i < truth.size(); ++i) {
    EXPECT_EQ((*read)[i].state, truth[i].state);
    EXPECT_EQ((*read)[i].colour, truth[i].colour);
    if (truth[i].state == SiteState::kMissing) continue;
    EXPECT_NEAR(Norm((*read)[i].pose.at - truth[i].pose.at), 0, 1e-5);
    EXPECT_NEAR((*read)[i].pose.turn_rad, truth[i].pose.turn_rad, 1e-6);
  }
}

std::string FirstLine(const Error& error) { return error.message.substr(0, error.message.find('\n')); }

TEST(TruthText, NamesThePlaceThatCannotBe) {
  EXPECT_EQ(FirstLine(ParseTruth("row,column\n0,0\n", "truth.csv").error()),
            "truth.csv: there is no column 'state'");
  const std::string head = "row,column,x_mm,y_mm,turn_deg\n";
  EXPECT_EQ(FirstLine(ParsePlaces(head + "0,0,1,2,3\n0,x,1,2,3\n", "p.csv", {{0, 0}}).error()),
            "p.csv:3:3: row and column must be whole numbers");
  EXPECT_EQ(FirstLine(ParsePlaces(head + "4,0,1,2,3\n", "p.csv", {{0, 0}}).error()),
            "p.csv:2:1: the plan has no site in row 4, column 0");
  EXPECT_EQ(FirstLine(ParsePlaces(head + "0,0,1,,3\n", "p.csv", {{0, 0}}).error()),
            "p.csv:2:5: x_mm, y_mm and turn_deg must be numbers, or all empty");
}

TEST(TruthText, PlacesFollowTheSitesAndLeaveOutWhatIsToBeLeft) {
  const auto places = ParsePlaces("row,column,action,x_mm,y_mm,turn_deg\n1,0,pull,5,6,90\n0,0,leave,1,2,3\n",
                                  "placements.csv", {{0, 0}, {1, 0}, {2, 0}});
  ASSERT_TRUE(places.has_value());
  EXPECT_FALSE((*places)[0].has_value());
  EXPECT_EQ((*places)[1]->at, (Point{5, 6}));
  EXPECT_FALSE((*places)[2].has_value());
}

}  // namespace
}  // namespace truepull
