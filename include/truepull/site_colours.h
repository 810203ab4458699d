// SPDX-License-Identifier: Apache-2.0
// Which colour each tile gets, so that tiles that touch differ.
#ifndef TRUEPULL_SITE_COLOURS_H_
#define TRUEPULL_SITE_COLOURS_H_

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

/// Two sites, as indices into AllSites, first < second.
using SitePair = std::pair<int, int>;

/// Pairs of tiles that share a stretch of edge of 1 mm or more where the plan puts them;
/// tiles that meet at a corner only do not touch. A gutter of up to `gap_mm` counts as none.
std::vector<SitePair> TouchingSites(const Plan& plan, double gap_mm = 0.05);

/// Graph colouring, exact: nodes get numbers under `colours`, joined ones different, each
/// number used about equally often (nodes weigh `weights`; empty: 1 each).
struct GraphColouring {
  enum class Answer { kFound, kImpossible, kUnsettled } answer = Answer::kImpossible;
  std::vector<int> colour;  // Per node, when found.
};
/// Brelaz's order (the node with the most different neighbours first) with backtracking,
/// given up after `most_steps`: Brelaz, "New methods to color the vertices of a graph",
/// Commun. ACM 22 (1979).
GraphColouring ColourGraph(int nodes, const std::vector<SitePair>& edges, int colours,
                           const std::vector<int>& weights = {}, long most_steps = 2000000);

/// Colours spread over a plan's sites.
struct SpreadColours {
  std::vector<std::vector<int>> map;  // Rows repeat; each row is as long as the plan's.
  int period_rows = 0, period_columns = 0;  // It repeats after so many lattice rows, columns.
};

/// Spreads colours so that no two touching tiles match. The pattern repeats after a few rows
/// and columns (a colouring of the lattice wrapped round a torus) where there is one: among
/// those of up to 24 places the most even. Otherwise the sheet is coloured as a whole.
/// Fails with kBadArgument when so few colours cannot do it, and says how many can.
Result<SpreadColours> SpreadColoursOver(const Plan& plan, int colours);

/// A colour map typed by hand: rows of numbers, from 0, parted by slashes: "0 1 / 1 0". It
/// is repeated over the plan's sites both ways. Fails with kBadArgument.
Result<std::vector<std::vector<int>>> ParseColourMap(std::string_view text, const Plan& plan, int colours);

/// Touching pairs of a plan that its colour map gives one colour.
std::vector<SitePair> MatchingNeighbours(const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_SITE_COLOURS_H_
