// SPDX-License-Identifier: Apache-2.0
// Help, version, wrong usage: exit status and streams.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sstream>

#include "support/program.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

TEST(Program, TellsItsVersion) {
  const ProgramRun run = RunTruepull({"--version"});
  EXPECT_EQ(run.exit_code, 0);
  EXPECT_EQ(run.out, "truepull " TRUEPULL_VERSION "\n");
  EXPECT_EQ(run.err, "");
}

TEST(Program, HelpsEverywhereWithAWorkedExample) {
  const ProgramRun all = RunTruepull({"--help"});
  EXPECT_EQ(all.exit_code, 0);
  EXPECT_EQ(all.err, "");
  EXPECT_THAT(all.out, HasSubstr("check"));
  // Every command that the help lists has a help of its own with an example.
  const auto commands = all.out.find("Subcommands:");
  ASSERT_NE(commands, std::string::npos);
  int seen = 0;
  std::istringstream lines(all.out.substr(commands));
  std::string line;
  std::getline(lines, line);
  while (std::getline(lines, line) && line.substr(0, 2) == "  ") {
    const std::string name = line.substr(2, line.find(' ', 2) - 2);
    const ProgramRun one = RunTruepull({name, "--help"});
    EXPECT_EQ(one.exit_code, 0) << name;
    EXPECT_THAT(one.out, HasSubstr("Example:\n  truepull " + name + " "));
    ++seen;
  }
  EXPECT_GE(seen, 1);
}

TEST(Program, GivesTwoForWrongUsage) {
  const std::vector<std::vector<std::string>> wrong{
      {}, {"nonsense"}, {"check"}, {"check", "--nonsense", "x"}, {"check", "a", "b"}, {"--nonsense"}};
  for (const auto& arguments : wrong) {
    const ProgramRun run = RunTruepull(arguments);
    EXPECT_EQ(run.exit_code, 2);
    EXPECT_EQ(run.out, "");
    EXPECT_NE(run.err, "");
  }
}

}  // namespace
}  // namespace truepull::testing
