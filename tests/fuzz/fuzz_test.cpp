// SPDX-License-Identifier: Apache-2.0
// Spoiled files through every reader: none may crash, hang or swell. A short run of what truepull_fuzz does at length.
#include <gtest/gtest.h>

#include <csignal>
#include <cstdlib>

#include "fuzz/watched_run.h"

namespace truepull::testing {
namespace {

TEST(Fuzz, NoSpoiledFileCrashesHangsOrSwells) {
  for (const FuzzTarget& target : AllFuzzTargets()) {
    const std::uint64_t runs = target.name == "sheet" ? 15 : 300;
    // A sanitizer keeps what was freed; the limit is for plain builds.
    const FuzzOutcome outcome = RunWatched(target, 1, 0, runs, {.seconds = 30, .memory_mb = 2048});
    EXPECT_EQ(outcome.runs, runs) << target.name;
    EXPECT_LT(outcome.taken, runs) << target.name << ": nothing was refused";
    for (const FuzzFault& fault : outcome.faults) ADD_FAILURE() << target.name << ", run " << fault.run << ": " << fault.words;
  }
}

TEST(Fuzz, TheRightFilesAreTaken) {
  for (const FuzzTarget& target : AllFuzzTargets()) {
    for (std::size_t i = 0; i < target.files.size(); ++i) EXPECT_TRUE(target.read(target.files[i])) << target.name << " " << i;
  }
}

TEST(Fuzz, TheSameRunMakesTheSameFile) {
  const FuzzTarget target{"x", true, {"one: 1\ntwo: [2, 3]\n"}, {}};
  EXPECT_EQ(SpoiledFile(target, 1, 7), SpoiledFile(target, 1, 7));
  EXPECT_NE(SpoiledFile(target, 1, 7), SpoiledFile(target, 1, 8));
}

TEST(WatchedRun, NotesACrashAHangAndMemoryAndGoesOn) {
  int calls = 0;
  const FuzzTarget bad{"bad", true, {"abc"}, [&calls](const std::string&) {
                         ++calls;  // Counts within one process: its second file ends it.
                         if (calls == 2) raise(SIGKILL);
                         return true;
                       }};
  const FuzzOutcome crash = RunWatched(bad, 1, 0, 4);
  EXPECT_EQ(crash.runs, 4u);
  ASSERT_EQ(crash.faults.size(), 2u);
  EXPECT_EQ(crash.faults[0].run, 1u);
  EXPECT_EQ(crash.faults[0].words, "crashed (signal 9)");
  EXPECT_EQ(crash.faults[1].run, 3u);

  const FuzzTarget slow{"slow", true, {"abc"}, [](const std::string&) {
                          for (volatile bool forever = true; forever;) {
                          }
                          return true;
                        }};
  const FuzzOutcome hang = RunWatched(slow, 1, 0, 1, {.seconds = 0.2});
  ASSERT_EQ(hang.faults.size(), 1u);
  EXPECT_NE(hang.faults[0].words.find("took longer"), std::string::npos);

  const FuzzTarget big{"big", true, {"abc"}, [](const std::string&) {
                         std::vector<char> filled(300 << 20, 1);
                         return filled[filled.size() / 2] == 1;
                       }};
  const FuzzOutcome swell = RunWatched(big, 1, 0, 1, {.memory_mb = 200});
  ASSERT_EQ(swell.faults.size(), 1u);
  EXPECT_NE(swell.faults[0].words.find("MB"), std::string::npos);
}

}  // namespace
}  // namespace truepull::testing
