// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>

#include "edition/reviewer.h"
#include "geometry/fixed_text.h"

namespace truepull {

void Reviewer::Sum() {
  for (const PlateFault& f : out_.plates) {
    if (f.found) out_.findings.push_back((f.whose.empty() ? "" : f.whose + ": ") + f.words);
  }
  for (const BlockFault& b : out_.blocks) {
    out_.findings.push_back(fmt::format("{} lies {} mm off on all {} sheets: the block or the guide, not the hand", SiteLabel(b.site),
                                        Fixed(Norm(b.shift), 1), b.sheets));
  }
  std::map<std::string, int> counts;
  const auto kind_words = [](const Habit& h) -> std::string {
    switch (h.kind) {
      case HabitKind::kShift: return "all tiles lie to one side";
      case HabitKind::kTurn: return "the pattern is turned on the sheet";
      case HabitKind::kTileTurn: return "each tile is turned a little the same way";
      case HabitKind::kTurnAcross: return "tiles turn more towards one side of the sheet";
      case HabitKind::kTurnDown: return "tiles turn more towards the top or the bottom";
      case HabitKind::kScatter: return "tiles scatter about their places";
      case HabitKind::kGrowColumns:
      case HabitKind::kGrowRows: return h.cause == Cause::kCreep ? "tiles creep from step to step" : h.cause == Cause::kPaper ? "the paper grew" : "tiles stand too far apart or too close";
      default: return "";
    }
  };
  for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
    const SheetReview& r = out_.reviews[i];
    if (!r.look.empty() || !r.beyond.empty() || r.drift.weak > 0) out_.needs_a_look = true;
    if (!r.habits.empty() && !kind_words(r.habits[0]).empty()) ++counts[kind_words(r.habits[0])];
  }
  std::vector<std::pair<std::string, int>> sorted(counts.begin(), counts.end());
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
  for (std::size_t k = 0; k < std::min<std::size_t>(3, sorted.size()); ++k) {
    out_.common_habits.push_back(fmt::format("{} ({} of {} sheets)", sorted[k].first, sorted[k].second, out_.sheets.size()));
  }
  if (!out_.findings.empty()) out_.needs_a_look = true;
}

}  // namespace truepull
