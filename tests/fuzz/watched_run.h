// SPDX-License-Identifier: Apache-2.0
// Feeds a reader with spoiled files in a process of its own that is watched from outside.
#ifndef TRUEPULL_TESTS_FUZZ_WATCHED_RUN_H_
#define TRUEPULL_TESTS_FUZZ_WATCHED_RUN_H_

#include <cstdint>
#include <string>
#include <vector>

#include "fuzz/targets.h"

namespace truepull::testing {

struct FuzzLimits {
  double seconds = 10;        // For one file.
  long memory_mb = 1024;      // Of the whole process.
};

struct FuzzFault {
  std::uint64_t run = 0;      // SpoiledFile(target, seed, run) makes the file again.
  std::string words;          // "crashed (signal 11)", "took longer than 10 s", "took 1200 MB".
};

struct FuzzOutcome {
  std::uint64_t runs = 0, taken = 0;   // Files fed; those that were taken, not refused.
  double longest_s = 0;
  long peak_mb = 0;
  std::vector<FuzzFault> faults;
};

/// The file of one run; every run has a chance of its own.
std::string SpoiledFile(const FuzzTarget& target, std::uint64_t seed, std::uint64_t run);

/// Runs `from` to `from + runs - 1`. A crash or a hang is noted and the next run goes on in a new process.
FuzzOutcome RunWatched(const FuzzTarget& target, std::uint64_t seed, std::uint64_t from, std::uint64_t runs, const FuzzLimits& limits = {});

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_FUZZ_WATCHED_RUN_H_
