// SPDX-License-Identifier: Apache-2.0
// Paper that grows: a sheet pulled damp that was photographed dry.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/harbour_plan.h"
#include "support/program.h"

namespace truepull::testing {
namespace {

using ::testing::ContainsRegex;
using ::testing::HasSubstr;
using ::testing::Not;

const std::string kGrainPlan = With("  height: 297\n", "  height: 297\n  grain: x\n  stretch: {along_grain: 0.3, across_grain: 1.5}\n");

// The hand put every tile where the plan says, on damp paper; dry, the sheet is smaller, tiles and all.
TEST(PulledDamp, PhotographedDryIsStretchAndNoSiteIsCalledOut) {
  const TemporaryFolder folder;
  WriteFile(folder / "plan.yaml", kGrainPlan);
  const auto run = [&](std::vector<std::string> arguments) {
    ProgramRun r = RunTruepull(std::move(arguments), folder.path());
    EXPECT_TRUE(r.exit_code == 0 || r.exit_code == 3) << r.err;
    return r;
  };
  run({"simulate", "--plan", "plan.yaml", "--seed", "4", "--like", "easy", "--hand-sd", "0", "--hand-turn-sd", "0", "--sheet-turn", "0",
       "--stretch-along", "-0.3", "--stretch-across", "-1.5", "--stretch-after", "--photo", "2400x1800", "--out", "dry", "--quiet"});
  const ProgramRun read = run({"read", "--plan", "plan.yaml", "--sheet", "dry", "dry/photo.jpg", "--out", "r"});
  EXPECT_THAT(read.out, ContainsRegex("0[.]3 % closer along the grain and 1[.][56] % closer across the grain than planned"));
  EXPECT_THAT(read.out, Not(HasSubstr("beyond")));
  for (const char* label : {"A1:", "E6:", "C3:"}) EXPECT_THAT(read.err, Not(HasSubstr(label)));
}

}  // namespace
}  // namespace truepull::testing
