// SPDX-License-Identifier: Apache-2.0
#include "truepull/layer_colours.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/sheets.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

Reading TwoColours() {
  Reading reading;
  reading.plan = RectanglePlan(1, 4);
  reading.plan.colour_map = {{0, 1, 0, 1}};
  reading.sheet = ReadingAtIdeal(reading.plan);
  return reading;
}

TEST(PredictLayer, SaysWhereALayerHardlyShows) {
  Reading reading = TwoColours();
  reading.sheet.sites[2].body_colour = "#1c2a48";   // Nearly the layer's own dark blue.
  reading.sheet.sites[3].state = SiteState::kMissing;
  Pass pass;
  pass.name = "dark";
  pass.colour = "#203050";
  pass.opacity = Opacity::kOpaque;
  const auto sites = PredictLayer(reading, pass);
  ASSERT_TRUE(sites);
  for (const SiteLayer& s : *sites) EXPECT_EQ(s.over, "#203050");
  EXPECT_EQ((*sites)[0].below, "#3a62a8");
  EXPECT_EQ((*sites)[1].below, "#7b4fa0");
  EXPECT_EQ((*sites)[3].below, "#ffffff");            // Bare paper.
  EXPECT_FALSE((*sites)[0].hardly_shows);
  EXPECT_TRUE((*sites)[2].hardly_shows);
  pass.opacity = Opacity::kTransparent;
  const auto clear = PredictLayer(reading, pass);
  EXPECT_NE((*clear)[0].over, "#203050");              // What lies beneath shows through.
  EXPECT_EQ((*clear)[3].over, "#203050");
}

TEST(PredictLayer, RefusesWhatIsNotKnown) {
  Pass pass;
  pass.name = "dark";
  EXPECT_THAT(PredictLayer(TwoColours(), pass).error().message, HasSubstr("pass dark: has no colour"));
  pass.colour = "#203050";
  EXPECT_THAT(PredictLayer(TwoColours(), pass).error().message, HasSubstr("does not say how opaque it is"));
}

TEST(BestOrderOfPasses, GoesFromLightToDarkAndTransparentOverOpaque) {
  Plan plan = RectanglePlan(1, 1);
  const auto add = [&](const char* name, const char* colour, Opacity o) {
    Pass p;
    p.name = name, p.colour = colour, p.opacity = o;
    plan.passes.push_back(p);
  };
  add("night", "#203050", Opacity::kOpaque);
  add("glaze", "#e8d080", Opacity::kTransparent);
  add("sand", "#e8d088", Opacity::kOpaque);
  add("sea", "#4a90b0", Opacity::kHalf);
  std::vector<std::string> names;
  for (const OrderedPass& p : BestOrderOfPasses(plan)) names.push_back(p.name);
  EXPECT_THAT(names, ::testing::ElementsAre("sand", "glaze", "sea", "night"));
}

}  // namespace
}  // namespace truepull::testing
