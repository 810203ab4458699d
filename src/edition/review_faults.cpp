// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "drift/sheet_part.h"
#include "edition/block_fault.h"
#include "edition/plate_fault.h"
#include "edition/reviewer.h"

namespace truepull {

void Reviewer::FindFaults(const Group& group) {
  if (out_.settings.free_register) return;
  const Plan& plan = PlanOf(group[0]);
  const int plan_group = out_.reviews[group[0]].plan_group;
  const Point centre = LatticeCentre(plan.lattice);
  for (int round = 0; round < 2; ++round) {  // Plates, then blocks; then plates without the blocks' sites.
    std::erase_if(out_.plates, [&](const PlateFault& f) { return f.plan_group == plan_group; });
    std::vector<char> left_out(out_.reviews[group[0]].drift.sites.size(), 0);
    std::vector<SheetFit> fits;
    for (const std::size_t i : group) {
      for (std::size_t k = 0; k < left_out.size(); ++k) left_out[k] = BlockAt(plan_group, out_.reviews[i].drift.sites[k].site) ? 1 : 0;
      fits.push_back(FitSheet(out_.reviews[i].drift, centre, left_out));
    }
    for (int plate = 0; plate < static_cast<int>(plan.plates.size()); ++plate) FindPlates(plan, plate, group, fits, plan_group);
    if (round == 1) break;
    std::vector<DriftReport> corrected;
    std::vector<const DriftReport*> pointers;
    for (const std::size_t i : group) corrected.push_back(WithoutPlates(i));
    for (const DriftReport& d : corrected) pointers.push_back(&d);
    if (group.size() >= 3) out_.blocks_looked_for = true;
    for (BlockFault& b : FindBlockFaults(pointers, centre, t_)) {
      b.plan_group = plan_group;
      out_.blocks.push_back(b);
    }
    if (std::none_of(out_.blocks.begin(), out_.blocks.end(), [&](const BlockFault& b) { return b.plan_group == plan_group; })) break;
  }
}

// One plate over all sheets, then person by person (or sheet by sheet) where they differ:
// in a class everyone may have cut their own.
void Reviewer::FindPlates(const Plan& plan, int plate, const Group& group, const std::vector<SheetFit>& fits, int plan_group) {
  const auto over = [&](const std::vector<std::size_t>& members, double level) {
    std::vector<const DriftReport*> drifts;
    std::vector<const SheetFit*> some;
    std::vector<const SheetReading*> readings;
    for (const std::size_t m : members) {
      drifts.push_back(&out_.reviews[group[m]].drift);
      some.push_back(&fits[m]);
      readings.push_back(&out_.sheets[group[m]].reading.sheet);
    }
    PlateFault f = FindPlateFault(plan, plate, drifts, some, readings, t_, level);
    f.plan_group = plan_group;
    return f;
  };
  std::vector<std::size_t> all;
  std::map<std::string, std::vector<std::size_t>> people;
  for (std::size_t m = 0; m < group.size(); ++m) {
    all.push_back(m);
    const EditionSheet& s = out_.sheets[group[m]];
    people[s.whose.empty() ? s.code : s.whose].push_back(m);
  }
  const PlateFault common = over(all, t_.level / 2 / static_cast<double>(plan.plates.size()));
  out_.plates.push_back(common);
  if (people.size() < 2) return;
  for (const auto& [who, members] : people) {
    PlateFault own = over(members, t_.level / 2 / static_cast<double>(people.size() * plan.plates.size()));
    if (!own.found) continue;
    const bool differs = !common.found || Norm(own.bias - common.bias) > std::max(t_.least_mm, 4 * own.sd_bias_mm);
    if (!differs) continue;
    own.whose = who;
    out_.plates.push_back(std::move(own));
  }
}

bool Reviewer::BlockAt(int plan_group, Site site) const {
  return std::any_of(out_.blocks.begin(), out_.blocks.end(),
                     [&](const BlockFault& b) { return b.plan_group == plan_group && b.site == site; });
}

// Faults of plates that concern a sheet: its own where there is one, else everyone's.
std::vector<PlateFault> Reviewer::PlatesOf(std::size_t i) const {
  std::vector<PlateFault> out;
  const EditionSheet& s = out_.sheets[i];
  const std::string who = s.whose.empty() ? s.code : s.whose;
  for (const PlateFault& f : out_.plates) {
    if (f.plan_group != out_.reviews[i].plan_group || !f.found || (!f.whose.empty() && f.whose != who)) continue;
    std::erase_if(out, [&](const PlateFault& g) { return g.plate == f.plate && g.whose.empty(); });
    out.push_back(f);
  }
  return out;
}

DriftReport Reviewer::WithoutPlates(std::size_t i) const {
  DriftReport d = out_.reviews[i].drift;
  for (const PlateFault& f : PlatesOf(i)) {
    for (SiteDrift& s : d.sites) {
      const Point shift = PlateShiftAt(PlanOf(i), f, s.site);
      s.shift = s.shift - shift, s.found.at = s.found.at - shift, s.hand_shift = s.hand_shift - shift;
    }
  }
  return d;
}

// What is the sheet's and the hand's once the faults of plate and block are out.
void Reviewer::TakeOutFaults() {
  for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
    SheetReview& r = out_.reviews[i];
    if (!r.drift.sheet_part) continue;
    DriftReport d = WithoutPlates(i);
    for (const BlockFault& b : out_.blocks) {
      if (b.plan_group != r.plan_group) continue;
      for (SiteDrift& s : d.sites) {
        if (s.site == b.site) s.shift = s.shift - b.shift, s.found.at = s.found.at - b.shift;
      }
    }
    std::vector<FoundPlace> places;
    for (const SiteDrift& s : d.sites) {
      if (s.state == SiteState::kMissing) continue;
      places.push_back({s.ideal.at, s.found.at, {s.covariance[0], s.covariance[1], s.covariance[3], s.covariance[4]}});
    }
    const SheetPartFit robust = FitSheetPart(places, LatticeCentre(PlanOf(i).lattice));
    for (SiteDrift& s : d.sites) {
      if (s.state != SiteState::kMissing) s.hand_shift = s.found.at - ApplySheetPart(robust.part, s.ideal.at);
    }
    d.hand_sd_mm = robust.hand_sd_mm, d.has_hand_sd = robust.has_hand_sd;
    fits_[i] = FitSheet(d, LatticeCentre(PlanOf(i).lattice));
    growth_[i] = MeasureGrowth(PlanOf(i), fits_[i]);
    r.hand_sd_mm = robust.hand_sd_mm;
    r.has_hand_sd = robust.has_hand_sd;
    r.hand_sd_turn_rad = d.hand_sd_turn_rad;
    // Of a normal spread with so much freedom; 1.2: the robust estimate's own loss.
    r.sd_hand_sd_mm = fits_[i].freedom > 0 ? 1.2 * std::sqrt(fits_[i].Variance()) / std::sqrt(4 * fits_[i].freedom) : 0;
    r.hand = d.sites;
    r.shift_test = fits_[i].shift_test;
    const SheetGrowth& g = growth_[i];
    const Grain grain = PaperOf(i).grain;
    const bool swap = grain == Grain::kY;
    r.stretch_along = swap ? g.y : g.x, r.stretch_across = swap ? g.x : g.y;
    r.sd_stretch_along = swap ? g.sd_y : g.sd_x, r.sd_stretch_across = swap ? g.sd_x : g.sd_y;
    r.has_stretch_along = swap ? g.has_y : g.has_x, r.has_stretch_across = swap ? g.has_x : g.has_y;
    r.creep_column_mm = g.columns.gain_mm, r.sd_creep_column_mm = g.columns.sd_mm, r.has_creep_column = g.columns.has;
    r.creep_row_mm = g.rows.gain_mm, r.sd_creep_row_mm = g.rows.sd_mm, r.has_creep_row = g.rows.has;
  }
}

}  // namespace truepull
