// SPDX-License-Identifier: Apache-2.0
// The known word that a misspelt one probably means.
#ifndef TRUEPULL_IO_NEAREST_WORD_H_
#define TRUEPULL_IO_NEAREST_WORD_H_

#include <string>
#include <string_view>
#include <vector>

namespace truepull {

/// The word of `known` within a third of its letters (at least one) of `word`, by the
/// edit distance of Levenshtein with neighbours swapped counting one; empty when none is.
std::string NearestWord(std::string_view word, const std::vector<std::string>& known);

/// "a", "a or b", "a, b or c".
std::string ListedWithOr(const std::vector<std::string>& words);

}  // namespace truepull

#endif  // TRUEPULL_IO_NEAREST_WORD_H_
