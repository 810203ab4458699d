// SPDX-License-Identifier: Apache-2.0
// What is fed with spoiled files: each reader of the program, with right files to begin from.
#ifndef TRUEPULL_TESTS_FUZZ_TARGETS_H_
#define TRUEPULL_TESTS_FUZZ_TARGETS_H_

#include <functional>
#include <string>
#include <vector>

namespace truepull::testing {

struct FuzzTarget {
  std::string name;
  bool text = true;
  std::vector<std::string> files;
  std::function<bool(const std::string&)> read;  // Whether the bytes were taken; a refusal is no fault.
};

/// plan, reading, corrections, places, edition, tile, drawing, printer, photo (decoded only) and sheet (decoded
/// and, where that succeeds, measured). Throws std::runtime_error when a right file cannot be made.
std::vector<FuzzTarget> AllFuzzTargets();

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_FUZZ_TARGETS_H_
