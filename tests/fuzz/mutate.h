// SPDX-License-Identifier: Apache-2.0
// Spoils a file's bytes by chance, the same way for the same seed.
#ifndef TRUEPULL_TESTS_FUZZ_MUTATE_H_
#define TRUEPULL_TESTS_FUZZ_MUTATE_H_

#include <random>
#include <string>
#include <vector>

namespace truepull::testing {

/// One to six changes to one of the files: bits, bytes, cuts, doublings, stretches of another file,
/// and for texts words that parsers stumble over (huge and odd numbers, deep nesting, anchors, bad UTF-8).
///
/// files  Right files of one kind, at least one, none empty.
/// text   Whether words may be put in.
std::string Spoiled(const std::vector<std::string>& files, bool text, std::mt19937_64& chance);

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_FUZZ_MUTATE_H_
