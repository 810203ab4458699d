// SPDX-License-Identifier: Apache-2.0
// Runs a program to its end and says how long it took and how much memory it held.
#ifndef TRUEPULL_TESTS_BENCH_CHILD_H_
#define TRUEPULL_TESTS_BENCH_CHILD_H_

#include <string>
#include <vector>

namespace truepull::bench {

struct ChildRun {
  double seconds = 0;       // From the fork to the end, by a steady clock.
  double cpu_seconds = 0;   // User and system, over all threads.
  double peak_mb = 0;       // Largest resident size, 10^6 bytes.
  int exit_code = -1;
};

/// Runs arguments[0] with its output thrown away. Throws when it cannot be started.
ChildRun RunChild(std::vector<std::string> arguments);

}  // namespace truepull::bench

#endif  // TRUEPULL_TESTS_BENCH_CHILD_H_
