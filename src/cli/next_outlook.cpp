// SPDX-License-Identifier: Apache-2.0
// Register, fit and what was chosen between them, side by side for the terminal.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/next_job.h"

namespace truepull {
namespace {

struct Spread {
  double mean = 0, worst = 0;
  int count = 0;
  void Add(double v) { worst = std::max(worst, v), mean += v, ++count; }
  double Mean() const { return count > 0 ? mean / count : 0; }
};

// How far the plates lie from their impressions, by reference points.
Spread Misregister(const NextPass& next, const std::vector<Pose>& places) {
  Spread out;
  for (std::size_t i = 0; i < next.placements.size(); ++i) {
    // In the register extreme a plate lies on its impression.
    if (next.placements[i].register_mm) out.Add(Norm(places[i].at - next.on_register[i].at));
  }
  return out;
}

struct Gaps {
  double widest = 0, deepest = 0;
};
Gaps GapsOf(const NextPass& next, std::optional<SeamOutlook::Gap> SeamOutlook::* which) {
  Gaps out;
  for (const SeamOutlook& s : next.seams) {
    if (!(s.*which)) continue;
    out.widest = std::max(out.widest, (s.*which)->mean_mm);
    out.deepest = std::min(out.deepest, (s.*which)->mean_mm);
  }
  return out;
}

}  // namespace

std::vector<std::string> OutlookLines(const NextPass& next, const NextOptions& options) {
  std::vector<std::string> out;
  const std::string chosen = options.lattice ? "chosen: lattice" : fmt::format("chosen: {:g}", options.favour);
  out.push_back(fmt::format("{:<32}{:>10}{:>10}  {}", "in mm", "register", "fit", chosen));
  std::vector<Pose> places;
  for (const Placement& p : next.placements) places.push_back(p.place);
  const Spread r = Misregister(next, next.on_register), f = Misregister(next, next.fit), c = Misregister(next, places);
  out.push_back(fmt::format("{:<32}{:>10.2f}{:>10.2f}  {:.2f}", "off its impression, mean", r.Mean(), f.Mean(), c.Mean()));
  out.push_back(fmt::format("{:<32}{:>10.2f}{:>10.2f}  {:.2f}", "off its impression, most", r.worst, f.worst, c.worst));
  if (next.seams.empty()) return out;
  const Gaps rg = GapsOf(next, &SeamOutlook::on_register), fg = GapsOf(next, &SeamOutlook::fit),
             cg = GapsOf(next, &SeamOutlook::chosen);
  out.push_back(fmt::format("{:<32}{:>10.2f}{:>10.2f}  {:.2f}", "widest gap at a seam", rg.widest, fg.widest, cg.widest));
  out.push_back(fmt::format("{:<32}{:>10.2f}{:>10.2f}  {:.2f}", "deepest overlap", -rg.deepest, -fg.deepest, -cg.deepest));
  return out;
}

}  // namespace truepull
