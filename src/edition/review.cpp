// SPDX-License-Identifier: Apache-2.0
#include "truepull/edition.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "edition/components.h"
#include "edition/likeness.h"
#include "edition/reviewer.h"
#include "edition/run.h"

namespace truepull {
namespace {

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

}  // namespace

void Reviewer::Run() {
  Measure();
  for (const auto& [key, group] : Groups(false)) FindFaults(group);
  TakeOutFaults();
  const auto groups = Groups(true);
  for (const auto& [key, group] : groups) {
    const std::size_t before = out_.growths.size();
    JudgePaper(out_.sheets[group[0]].paper, group);
    if (out_.growths.size() > before) out_.growths.back().group = GroupWords(groups, group);
    if (!out_.settings.free_register) FindJumps(out_, fits_, group);
  }
  for (std::size_t i = 0; i < out_.sheets.size(); ++i) JudgeSheet(i);
  Compare();
  Passes();
  for (const auto& [key, group] : groups) {
    // One sheet or two are no run.
    if (group.size() > 2) AddSeries(out_, fits_, group, GroupWords(groups, group));
  }
  out_.components = VarianceComponents(out_.sheets, out_.reviews, fits_, out_.plates, out_.blocks);
  out_.likeness = LikenessToProof(out_.sheets, out_.reviews, out_.settings);
  Sum();
}

auto Reviewer::Groups(bool by_paper) const -> std::map<std::string, Group> {
  std::map<std::string, Group> groups;
  for (std::size_t i = 0; i < out_.sheets.size(); ++i) {
    const EditionSheet& s = out_.sheets[i];
    if (Good(i)) groups[fmt::format("{}\n{}\n{}", out_.reviews[i].plan_group, s.pass, by_paper ? s.paper : "")].push_back(i);
  }
  return groups;
}

std::string Reviewer::GroupWords(const std::map<std::string, Group>& groups, const Group& group) const {
  if (groups.size() < 2) return "";
  const EditionSheet& s = out_.sheets[group[0]];
  const int plan = out_.reviews[group[0]].plan_group;
  std::vector<std::string> words{s.paper.empty() ? "paper not said" : s.paper};
  words.push_back(s.pass == "first" ? "first pass" : "pass " + s.pass);
  const bool plans = std::any_of(groups.begin(), groups.end(), [&](const auto& g) { return out_.reviews[g.second[0]].plan_group != plan; });
  if (plans) words.push_back(PlanOf(group[0]).title.empty() ? fmt::format("plan {}", plan + 1) : PlanOf(group[0]).title);
  return fmt::format("{}", fmt::join(words, ", "));
}

void Reviewer::Measure() {
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


EditionPaper Reviewer::PaperOf(std::size_t i) const {
  EditionPaper paper;
  for (const EditionPaper& p : out_.settings.papers) {
    if (p.name == out_.sheets[i].paper) paper = p;
  }
  if (paper.grain == Grain::kUnknown) paper.grain = PlanOf(i).sheet.grain;
  return paper;
}

void Reviewer::JudgePaper(const std::string& name, const Group& group) {
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
