// SPDX-License-Identifier: Apache-2.0
#include "io/other_table.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "truepull/corrections_text.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

std::string Seams() {
  SeamOutlook s;
  s.a = {0, 1}, s.b = {1, 1};
  s.fit = SeamOutlook::Gap{0.1, -0.25};
  return WriteSeamsCsv({s, s});
}

TEST(OtherTable, TakesWhatTheProgramWrites) {
  const auto seams = CheckOtherTable(Seams(), "seams.csv");
  ASSERT_TRUE(seams) << seams.error().message;
  EXPECT_EQ(seams->rows, 2u);
  EXPECT_THAT(seams->what, HasSubstr("seams.csv"));
  NextPass next;
  next.placements.resize(2);
  next.placements[1].register_mm = 0.5;
  next.fit.resize(2), next.on_register.resize(2);
  EXPECT_EQ(CheckOtherTable(WriteMisregisterCsv(next), "misregister.csv")->rows, 2u);
  EXPECT_FALSE(RecogniseOtherTable("row,column,state\n"));
}

TEST(OtherTable, NamesTheCellAtFault) {
  std::string text = Seams();
  text.replace(text.find("0.1000"), 6, "a bit ");
  EXPECT_THAT(CheckOtherTable(text, "seams.csv").error().message, HasSubstr("seams.csv:2:"));
  EXPECT_THAT(CheckOtherTable(text, "seams.csv").error().message, HasSubstr("gap_mm_fit must be a number, not a bit"));
  text = Seams();
  text.replace(text.find("\n0,1,1,1") + 1, 1, "-");
  EXPECT_FALSE(CheckOtherTable(text, "seams.csv"));
}

}  // namespace
}  // namespace truepull::testing
