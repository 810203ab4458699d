// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

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
  std::map<std::string, std::set<std::string>> counts;  // Codes: a sheet of two passes is one.
  std::set<std::string> codes;
  const auto kind_words = [](const Habit& h) -> std::string {
    switch (h.kind) {
      case HabitKind::kShift: return "all tiles lie to one side";
      case HabitKind::kTurn: return "the pattern is turned on the sheet";
      case HabitKind::kTileTurn: return "each tile is turned a little the same way";
      case HabitKind::kTurnAcross: return "tiles turn more towards one side of the sheet";
      case HabitKind::kTurnDown: return "tiles turn more towards the top or the bottom";
      case HabitKind::kScatterTrend: return "tiles scatter more in one part of the sheet, or of the order";
      case HabitKind::kScatter: return "tiles scatter about their places";
      case HabitKind::kGrowColumns:
      case HabitKind::kGrowRows: return h.cause == Cause::kCreep ? "tiles creep from step to step" : h.cause == Cause::kPaper ? "the paper grew" : "tiles stand too far apart or too close";
      default: return "";
    }
  };
  for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
    const SheetReview& r = out_.reviews[i];
    codes.insert(out_.sheets[i].code);
    if (!r.look.empty() || !r.beyond.empty() || r.drift.weak > 0) out_.needs_a_look = true;
    if (!r.habits.empty() && !kind_words(r.habits[0]).empty()) counts[kind_words(r.habits[0])].insert(out_.sheets[i].code);
  }
  std::vector<std::pair<std::string, std::size_t>> sorted;
  for (const auto& [words, who] : counts) sorted.emplace_back(words, who.size());
  std::stable_sort(sorted.begin(), sorted.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
  for (std::size_t k = 0; k < std::min<std::size_t>(3, sorted.size()); ++k) {
    out_.common_habits.push_back(fmt::format("{} ({} of {} sheets)", sorted[k].first, sorted[k].second, codes.size()));
  }
  if (!out_.findings.empty()) out_.needs_a_look = true;
}

}  // namespace truepull
