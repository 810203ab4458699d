// SPDX-License-Identifier: Apache-2.0
#include "io/nearest_word.h"

#include <algorithm>

namespace truepull {
namespace {

std::size_t Distance(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
  for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1,
                          d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1)});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
      }
    }
  }
  return d[a.size()][b.size()];
}

}  // namespace

std::string NearestWord(std::string_view word, const std::vector<std::string>& known) {
  if (word.size() > 40) return "";
  std::string best;
  std::size_t best_distance = 1000;
  for (const std::string& candidate : known) {
    const std::size_t allowed = std::max<std::size_t>(1, candidate.size() / 3);
    const std::size_t distance = Distance(word, candidate);
    if (distance <= allowed && distance < best_distance) {
      best = candidate;
      best_distance = distance;
    }
  }
  return best;
}

std::string ListedWithOr(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += words[i];
  }
  return out;
}

}  // namespace truepull
