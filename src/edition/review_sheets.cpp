// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "edition/habits.h"
#include "edition/reviewer.h"
#include "geometry/fixed_text.h"

namespace truepull {

void Reviewer::JudgeSheet(std::size_t i) {
  SheetReview& r = out_.reviews[i];
  from_start_.resize(out_.sheets.size());
  const double level = t_.level / static_cast<double>(out_.sheets.size());
  if (Good(i) && !out_.settings.free_register) {
    const std::vector<PlateFault> plates = PlatesOf(i);
    std::vector<BlockFault> blocks;
    for (const BlockFault& b : out_.blocks) {
      if (b.plan_group == r.plan_group) blocks.push_back(b);
    }
    r.habits = FindHabits({&PlanOf(i), &r, &fits_[i], &growth_[i], from_start_[i] != 0, &plates, &blocks, level, &t_});
    r.shifted = r.shift_test.p < level && Norm(fits_[i].shift) > t_.least_mm;
  }
  const Habit* main = r.habits.empty() ? nullptr : &r.habits[0];
  r.main_habit = main != nullptr ? main->finding : out_.settings.free_register ? "register is free on purpose" : "none found";
  r.cause = r.photo.too_poor || (r.photo.found && main == nullptr) ? Cause::kPhoto : main != nullptr ? main->cause : Cause::kNone;
  if (r.photo.too_poor) r.main_habit = "the photo is too poor to tell";
  r.confidence = r.photo.too_poor || r.cause == Cause::kPaperOrCreep ? "cannot tell" : main == nullptr ? "" : main->p < 1e-3 ? "sure" : "likely";
  for (const std::string& reason : r.photo.reasons) r.look.push_back(reason);
  for (const std::string& finding : out_.sheets[i].reading.sheet.findings) r.look.push_back(finding);
  if (looks_[i].weak_share > t_.weak_share) {
    r.weak = true;
    r.look.push_back(fmt::format("{} of its {} pulls are weak", r.drift.weak, r.drift.weak + r.drift.printed));
  }
  if (r.drift.missing > 0) r.look.push_back(fmt::format("{} of {} sites are empty", r.drift.missing, r.drift.sites.size()));
  if (!out_.settings.free_register) {
    std::string out;
    int count = 0;
    for (const SiteDrift& s : r.hand) {
      if (s.state == SiteState::kMissing || Norm(s.hand_shift) <= PlanOf(i).tolerance.shift_mm) continue;
      if (++count <= 6) out += (out.empty() ? "" : ", ") + SiteLabel(s.site);
    }
    if (count > 0) r.beyond = fmt::format("beyond the tolerance by hand: {}{}", out, count > 6 ? fmt::format(" and {} more", count - 6) : "");
  }
}

// What only shows beside the other sheets: pale ones.
void Reviewer::Compare() {
  for (const auto& [key, group] : Groups(false)) {
    if (group.size() < 4) continue;
    std::vector<double> densities;
    for (const std::size_t i : group) {
      if (out_.reviews[i].density > 0) densities.push_back(out_.reviews[i].density);
    }
    const double usual = MedianOfValues(densities);
    for (const std::size_t i : group) {
      SheetReview& r = out_.reviews[i];
      // A quarter paler than the others; pulls of one hand-charged plate differ by a tenth.
      if (densities.size() < 4 || r.density <= 0 || r.density > 0.75 * usual) continue;
      r.weak = true;
      r.look.push_back("it prints paler than the others");
    }
  }
}


// A later pass beside the first of the same sheet; and what got better since an earlier one.
void Reviewer::Passes() {
  for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
    SheetReview& r = out_.reviews[i];
    for (std::size_t j = 0; j < out_.sheets.size(); ++j) {
      if (out_.sheets[i].pass == "first" || out_.sheets[j].pass != "first" || out_.sheets[j].code != out_.sheets[i].code) continue;
      const DriftReport &a = out_.reviews[j].drift, &b = r.drift;
      std::vector<Point> d;
      Point mean;
      for (std::size_t k = 0; k < a.sites.size() && a.sites.size() == b.sites.size(); ++k) {
        if (a.sites[k].state == SiteState::kMissing || b.sites[k].state == SiteState::kMissing) continue;
        d.push_back(b.sites[k].found.at - a.sites[k].found.at);
        mean = mean + d.back();
      }
      if (d.size() < 2) continue;
      const auto n = static_cast<double>(d.size());
      mean = (1 / n) * mean;
      double square = 0;
      for (const Point p : d) square += Dot(p - mean, p - mean);
      r.has_register = true, r.register_shift = mean, r.register_sd_mm = std::sqrt(square / (2 * (n - 1)));
    }
    r.better = Better(i);
  }
}


std::string Reviewer::Better(std::size_t i) const {
  const SheetReview& r = out_.reviews[i];
  if (!Good(i)) return "";
  const EditionSheet& s = out_.sheets[i];
  if (!s.whose.empty()) {
    for (std::size_t j = i; j-- > 0;) {  // The sheet before, of the same hand.
      const SheetReview& before = out_.reviews[j];
      if (out_.sheets[j].whose != s.whose || !Good(j)) continue;
      if (r.has_hand_sd && before.has_hand_sd &&
          before.hand_sd_mm - r.hand_sd_mm > 2 * std::hypot(r.sd_hand_sd_mm, before.sd_hand_sd_mm)) {
        return fmt::format("your tiles lie closer together than on sheet {}: {} mm each way, from {} mm", out_.sheets[j].code,
                           Fixed(r.hand_sd_mm, 1), Fixed(before.hand_sd_mm, 1));
      }
      if (before.drift.weak > r.drift.weak) return fmt::format("fewer weak pulls than on sheet {}", out_.sheets[j].code);
      break;
    }
  }
  if (r.has_hand_sd && r.hand_sd_mm < t_.fine_mm) {
    return fmt::format("the hand is steady: tiles lie within {} mm each way of where the sheet has them", Fixed(r.hand_sd_mm, 1));
  }
  if (r.drift.missing == 0 && r.drift.weak == 0) return "every site is printed, none of them weakly";
  if (!r.shifted) return "the sheet as a whole lies where it should";
  return "";
}

}  // namespace truepull
