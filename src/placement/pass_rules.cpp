// SPDX-License-Identifier: Apache-2.0
#include "truepull/pass_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace truepull {
namespace {

constexpr double kStepMm = 0.5;
constexpr double kCutMm = 0.1;        // A knife follows a line no better.
constexpr double kShownOverlap = 0.3; // mm; narrower a double line is not seen at arm's length.

void Add(std::string& list, const std::string& word) { list += (list.empty() ? "" : ", ") + word; }

void AddReason(Placement& p, const std::string& why) { p.reason += (p.reason.empty() ? "" : "; ") + why; }

// What a reduction's block was before it was cut for this pass: the outline and the pass's name.
std::pair<Outline, std::string> CutFrom(const Plan& plan, const Pass& pass, Site site) {
  std::pair<Outline, std::string> out{OutlineAt(plan, site), "first"};
  for (const Pass& p : plan.passes) {
    if (p.name == pass.name) break;
    if (p.kind == PassKind::kReduction) out = {PlateOutlineAt(plan, &p, site), p.name};
  }
  return out;
}

void Reduction(const Plan& plan, const Pass& pass, NextPass& next, PassRules& out) {
  // One outline serves all plates, so that the first site of each plate tells.
  std::vector<int> seen;
  for (const Placement& p : next.placements) {
    const int plate = MemberAt(plan.lattice, p.site).plate;
    if (std::find(seen.begin(), seen.end(), plate) != seen.end()) continue;
    seen.push_back(plate);
    const auto [before, name] = CutFrom(plan, pass, p.site);
    const double out_mm = ReachesOutside(PlateOutlineAt(plan, &pass, p.site), before);
    if (out_mm <= kCutMm) continue;
    out.findings.push_back(fmt::format("pass {} is a reduction, but its outline reaches {:.1f} mm beyond that of {}: there the block has been cut away and cannot print",
                                       pass.name, out_mm, name));
    break;
  }
  std::string missing, weak;
  for (Placement& p : next.placements) {
    if (p.corrected) continue;
    if (p.action == Action::kLook) Add(missing, SiteLabel(p.site));
    if (p.action == Action::kStrengthen) Add(weak, SiteLabel(p.site));
    if (p.action == Action::kLook || p.action == Action::kStrengthen) AddReason(p, "only before the block is cut for " + pass.name);
  }
  if (missing.empty() && weak.empty()) return;
  out.findings.push_back(fmt::format("before you cut the block for {}: {}{}{}; once it is cut, the colour beneath can no longer be printed", pass.name,
                                     missing.empty() ? "" : "pull " + missing, !missing.empty() && !weak.empty() ? ", " : "",
                                     weak.empty() ? "" : "strengthen " + weak));
}

void Glaze(const Pass& pass, NextPass& next, PassRules& out) {
  const Opacity opacity = pass.opacity.value_or(Opacity::kTransparent);
  if (opacity != Opacity::kTransparent) {
    out.findings.push_back(fmt::format("pass {} is a glaze, but its colour is {}: it will hide the drawing beneath; a glaze is transparent", pass.name,
                                       opacity == Opacity::kOpaque ? "opaque" : "half opaque"));
  }
  std::string bare;
  for (Placement& p : next.placements) {
    if (p.corrected || p.action != Action::kLook) continue;
    Add(bare, SiteLabel(p.site));
    AddReason(p, "the glaze would lie on bare paper");
  }
  if (!bare.empty()) out.findings.push_back("the glaze would lie on bare paper at " + bare);
  int overlaps = 0, seams = 0;
  const SeamOutlook* deepest = nullptr;
  for (const SeamOutlook& s : next.seams) {
    if (!s.chosen) continue;
    ++seams;
    if (s.chosen->mean_mm < -kShownOverlap) ++overlaps;
    if (deepest == nullptr || s.chosen->mean_mm < deepest->chosen->mean_mm) deepest = &s;
  }
  if (overlaps > 0) {
    out.notes.push_back(fmt::format("a glaze shows every overlap as a darker line: {} of {} seams will, the widest {:.1f} mm between {} and {} (--favour fit evens them)",
                                    overlaps, seams, -deepest->chosen->mean_mm, SiteLabel(deepest->a), SiteLabel(deepest->b)));
  }
}

}  // namespace

double ReachesOutside(std::span<const Point> inner, std::span<const Point> outer) {
  double out = 0;
  for (std::size_t i = 0; i < inner.size(); ++i) {
    const Point from = inner[i], way = inner[(i + 1) % inner.size()] - from;
    const int steps = std::max(1, static_cast<int>(std::ceil(Norm(way) / kStepMm)));
    for (int k = 0; k < steps; ++k) {
      out = std::max(out, -SignedDistance(outer, from + (static_cast<double>(k) / steps) * way));
    }
  }
  return out;
}

PassRules ApplyPassRules(const Plan& plan, const Pass& pass, NextPass& next) {
  PassRules out;
  if (pass.kind == PassKind::kReduction) Reduction(plan, pass, next, out);
  if (pass.kind == PassKind::kGlaze) Glaze(pass, next, out);
  return out;
}

}  // namespace truepull
