// SPDX-License-Identifier: Apache-2.0
#include "truepull/edition.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "drift/sheet_part.h"
#include "edition/block_fault.h"
#include "edition/components.h"
#include "edition/growth.h"
#include "edition/habits.h"
#include "edition/likeness.h"
#include "edition/plate_fault.h"
#include "edition/run.h"
#include "edition/sheet_fit.h"
#include "edition/sheet_looks.h"
#include "geometry/fixed_text.h"

namespace truepull {
namespace {

using Group = std::vector<std::size_t>;

bool SamePlan(const Plan& a, const Plan& b) {
  const Lattice &p = a.lattice, &q = b.lattice;
  if (!(p.origin == q.origin && p.across == q.across && p.down == q.down) || p.rows != q.rows || p.columns != q.columns ||
      p.turns_rad != q.turns_rad || p.stagger_rows != q.stagger_rows || p.stagger_columns != q.stagger_columns ||
      p.cell.size() != q.cell.size() || a.plates.size() != b.plates.size()) {
    return false;
  }
  for (std::size_t i = 0; i < p.cell.size(); ++i) {
    if (p.cell[i].plate != q.cell[i].plate || !(p.cell[i].at == q.cell[i].at) || p.cell[i].turn_rad != q.cell[i].turn_rad) return false;
  }
  for (std::size_t i = 0; i < a.plates.size(); ++i) {
    if (a.plates[i].outline != b.plates[i].outline) return false;
  }
  return true;
}

// Everything that the steps of a review hand on.
class Reviewer {
 public:
  explicit Reviewer(EditionReview& out) : out_(out), t_(out.settings.thresholds), fits_(out.sheets.size()), growth_(out.sheets.size()) {}

  void Run() {
    Measure();
    for (const auto& [key, group] : Groups(false)) FindFaults(group);
    TakeOutFaults();
    for (const auto& [key, group] : Groups(true)) {
      JudgePaper(out_.sheets[group[0]].paper, group);
      if (!out_.settings.free_register) FindJumps(out_, fits_, group);
    }
    for (std::size_t i = 0; i < out_.sheets.size(); ++i) JudgeSheet(i);
    Compare();
    Passes();
    Group run;  // The first pass, else whatever there is.
    for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
      if (Good(i) && out_.sheets[i].pass == "first") run.push_back(i);
    }
    for (std::size_t i = 0; i < out_.sheets.size() && run.empty(); ++i) {
      if (Good(i)) run.push_back(i);
    }
    if (!run.empty()) AddSeries(out_, fits_, run);
    out_.components = VarianceComponents(out_.sheets, out_.reviews, fits_, out_.plates, out_.blocks);
    out_.likeness = LikenessToProof(out_.sheets, out_.reviews, out_.settings);
    Sum();
  }

 private:
  // Good sheets of one plan and pass (and paper), in order of printing.
  std::map<std::string, Group> Groups(bool by_paper) const {
    std::map<std::string, Group> groups;
    for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
      const EditionSheet& s = out_.sheets[i];
      if (Good(i)) groups[fmt::format("{}\n{}\n{}", out_.reviews[i].plan_group, s.pass, by_paper ? s.paper : "")].push_back(i);
    }
    return groups;
  }
  bool Good(std::size_t i) const { return !out_.reviews[i].photo.too_poor && out_.reviews[i].drift.sheet_part.has_value(); }
  const Plan& PlanOf(std::size_t i) const { return out_.sheets[i].reading.plan; }

  void Measure() {
    std::vector<double> blurs;
    for (const EditionSheet& s : out_.sheets) {
      SheetReview r;
      r.drift = MeasureDrift(s.reading.plan, s.reading.sheet);
      for (std::size_t j = 0; j < out_.reviews.size(); ++j) {
        r.plan_group = static_cast<int>(j);
        if (SamePlan(PlanOf(j), s.reading.plan)) {
          r.plan_group = out_.reviews[j].plan_group;
          break;
        }
        r.plan_group = static_cast<int>(out_.reviews.size());
      }
      out_.reviews.push_back(std::move(r));
      looks_.push_back(LooksOf(s));
      if (looks_.back().blur_mm > 0) blurs.push_back(looks_.back().blur_mm);
    }
    const double usual_blur = blurs.size() >= 3 ? MedianOfValues(blurs) : 0;
    for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
      SheetReview& r = out_.reviews[i];
      r.photo = JudgePhoto(looks_[i], usual_blur, t_);
      r.density = looks_[i].density, r.coverage = looks_[i].coverage;
      fits_[i] = FitSheet(r.drift, LatticeCentre(PlanOf(i).lattice));
    }
  }

  void FindFaults(const Group& group) {
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
  void FindPlates(const Plan& plan, int plate, const Group& group, const std::vector<SheetFit>& fits, int plan_group) {
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

  bool BlockAt(int plan_group, Site site) const {
    return std::any_of(out_.blocks.begin(), out_.blocks.end(),
                       [&](const BlockFault& b) { return b.plan_group == plan_group && b.site == site; });
  }

  // Faults of plates that concern a sheet: its own where there is one, else everyone's.
  std::vector<PlateFault> PlatesOf(std::size_t i) const {
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

  DriftReport WithoutPlates(std::size_t i) const {
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
  void TakeOutFaults() {
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

  EditionPaper PaperOf(std::size_t i) const {
    EditionPaper paper;
    for (const EditionPaper& p : out_.settings.papers) {
      if (p.name == out_.sheets[i].paper) paper = p;
    }
    if (paper.grain == Grain::kUnknown) paper.grain = PlanOf(i).sheet.grain;
    return paper;
  }

  void JudgePaper(const std::string& name, const Group& group) {
    if (out_.settings.free_register) return;
    std::vector<const SheetGrowth*> sheets;
    for (const std::size_t i : group) sheets.push_back(&growth_[i]);
    std::vector<Cause> causes;
    std::vector<char> from_start;
    EditionPaper paper = PaperOf(group[0]);
    paper.name = name;
    Growth g = JudgeGrowth(PlanOf(group[0]), paper, sheets, t_, &causes, &from_start);
    from_start_.resize(out_.sheets.size());
    for (std::size_t k = 0; k < group.size(); ++k) {
      out_.reviews[group[k]].growth = causes[k];
      from_start_[group[k]] = from_start[k];
    }
    if (g.sheets > 0) out_.growths.push_back(std::move(g));
  }

  void JudgeSheet(std::size_t i) {
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
  void Compare() {
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
  void Passes() {
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

  std::string Better(std::size_t i) const {
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

  void Sum() {
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

  EditionReview& out_;
  const ReviewThresholds& t_;
  std::vector<SheetFit> fits_;
  std::vector<SheetGrowth> growth_;
  std::vector<SheetLooks> looks_;
  std::vector<char> from_start_;
};

}  // namespace

const char* NameOf(Decision decision) {
  switch (decision) {
    case Decision::kEdition: return "edition";
    case Decision::kArtistsProof: return "artist's proof";
    case Decision::kReject: return "reject";
    default: return "open";
  }
}

const char* NameOf(Cause cause) {
  switch (cause) {
    case Cause::kHand: return "hand";
    case Cause::kStop: return "hand or stop";
    case Cause::kPlate: return "plate";
    case Cause::kBlock: return "block";
    case Cause::kPaper: return "paper";
    case Cause::kCreep: return "creep";
    case Cause::kPaperOrCreep: return "paper or creep";
    case Cause::kPhoto: return "photo";
    default: return "none";
  }
}

EditionReview ReviewEdition(std::vector<EditionSheet> sheets, const EditionSettings& settings) {
  EditionReview out;
  out.settings = settings;
  std::stable_sort(sheets.begin(), sheets.end(), [](const EditionSheet& a, const EditionSheet& b) {
    return a.order != b.order ? a.order < b.order : a.code < b.code;
  });
  out.sheets = std::move(sheets);
  Reviewer(out).Run();
  return out;
}

}  // namespace truepull
