// SPDX-License-Identifier: Apache-2.0
#include "cli/plan_choice.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "truepull/detect.h"
#include "truepull/drift.h"
#include "truepull/fitted_lattice.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"
#include "truepull/reading_cache.h"

namespace truepull {
namespace {

constexpr std::size_t kLeastSites = 4;         // Fewer pulls tell nothing of a habit.

std::size_t SitesFound(const Reading& reading) {
  return static_cast<std::size_t>(std::count_if(reading.sheet.sites.begin(), reading.sheet.sites.end(),
                                                [](const SiteReading& s) { return s.state != SiteState::kMissing; }));
}

// How well a plan explains the photo: sites found, each the less the less surely.
double Score(const Reading& reading) {
  double sum = 0;
  for (const SiteReading& s : reading.sheet.sites) {
    if (s.state == SiteState::kMissing) continue;
    sum += 1 / (1 + (s.covariance[0] + s.covariance[4]) / (2 * 0.1 * 0.1));
  }
  return sum / static_cast<double>(std::max<std::size_t>(1, reading.sheet.sites.size()));
}

// How far, from pull to pull, the printed edge wanders from the plan's outline: a few
// hundredths of a mm where the tile is the plan's, 0.3 mm and more where it is another's.
double EdgeScatterMm(const Reading& reading) {
  std::vector<double> scatter;
  for (const PlateEdges& e : reading.sheet.plate_edges) {
    // sd is of the median over the pulls: 1.2533 x 1.4826 x median distance / sqrt n.
    for (const double sd : e.sd_mm) scatter.push_back(sd * std::sqrt(static_cast<double>(SitesFound(reading))) / 1.2533);
  }
  if (scatter.empty()) return 0;
  std::sort(scatter.begin(), scatter.end());
  return scatter[scatter.size() / 2];
}

}  // namespace

Result<std::vector<NamedPlan>> LoadPlans(const std::vector<std::string>& files) {
  std::vector<NamedPlan> plans;
  for (const std::string& file : files) {
    const auto text = ReadWholeFile(file, std::size_t{64} << 20);
    if (!text) return text.error();
    const std::string name = std::filesystem::path(file).filename().string();
    auto parsed = ParsePlan(*text, name);
    if (!parsed) return parsed.error();
    plans.push_back({name, parsed->plan, ReadingCache::KeyOf(WritePlan(parsed->plan)), parsed->warnings});
  }
  return plans;
}

std::string CodeOfCard(const FoundCard& card) { return card.number > 0 && !card.doubtful ? fmt::format("{:02}", card.number) : ""; }

std::string PassOfCard(const Plan& plan, int card_pass) {
  if (card_pass <= 1) return "first";
  const auto k = static_cast<std::size_t>(card_pass - 2);
  return k < plan.passes.size() ? plan.passes[k].name : "";
}

Result<Plan> PlanOfPass(const Plan& plan, const std::string& pass) {
  if (pass.empty() || pass == "first") return plan;
  std::string known;
  for (const Pass& p : plan.passes) {
    known += (known.empty() ? "" : ", ") + p.name;
    if (p.name != pass) continue;
    Plan seen = plan;
    if (!p.outline.empty()) {
      for (Plate& plate : seen.plates) plate.outline = p.outline;
    }
    if (!p.colour.empty()) {
      seen.edge_colour = p.colour;
      seen.colours = {p.colour};
      seen.colour_map.clear();
    }
    return seen;
  }
  return Error{ErrorCode::kBadArgument, "--pass " + pass + ": the plan has no pass of this name",
               known.empty() ? "the plan has no later passes" : "it has: first, " + known};
}

void KeepMeasuredPrints(Reading& reading) {
  for (std::size_t k = 0; k < reading.plan.plates.size() && k < reading.sheet.prints.size(); ++k) {
    Plate& plate = reading.plan.plates[k];
    if (plate.prints_measured) plate.prints = reading.sheet.prints[k], plate.prints_measured = false;
  }
}

Result<Reading> MeasureByPlan(const Photo& photo, const Plan& plan, const std::string& pass, int threads, const SheetPlaceBy& by) {
  const auto seen = PlanOfPass(plan, pass);
  if (!seen) return seen.error();
  const auto place = PlaceOfSheet(photo, plan.sheet, by);
  if (!place) return place.error();
  Reading reading{plan, {}, photo.name, pass.empty() ? "first" : pass, {}};
  if (seen->lattice.fit_origin) {
    auto fitted = MeasureSheetFittingLattice(photo, place->frame, *seen);
    if (!fitted) return fitted.error();
    reading.plan = std::move(fitted->plan), reading.sheet = std::move(fitted->sheet);
    KeepMeasuredPrints(reading);
    return reading;
  }
  DetectOptions detect;
  detect.threads = threads;
  detect.way_up_known = place->way_up_known;
  auto sheet = MeasureSheet(photo, place->frame, *seen, detect);
  if (!sheet) return sheet.error();
  reading.sheet = *std::move(sheet);
  KeepMeasuredPrints(reading);
  return reading;
}

std::string WhyNotUsable(const Reading& reading) {
  const std::size_t found = SitesFound(reading), all = reading.sheet.sites.size();
  if (found == 0) return "no pull of the plan was found: an empty sheet, or the sheet of another plan";
  if (found < std::min(kLeastSites, all)) return fmt::format("only {} of {} sites were found: too few to tell anything, or the sheet of another plan", found, all);
  // Both together: a ragged print has the one, a wild hand the other.
  if (EdgeScatterMm(reading) > 0.35 && MeasureDrift(reading.plan, reading.sheet).hand_sd_mm > 1.5) {
    return "what is printed does not fit the plan's tile: the sheet of another plan, it seems";
  }
  return "";
}

PlanChoice ChoosePlan(const std::vector<Reading>& readings, const std::vector<std::string>& names) {
  PlanChoice out;
  for (std::size_t k = 1; k < readings.size(); ++k) {
    if (Score(readings[k]) > Score(readings[out.best])) out.best = k;
  }
  for (std::size_t k = 0; k < readings.size(); ++k) {
    // 1.25: below, either plan may be the one; which is not for the program to guess.
    if (k == out.best || Score(readings[out.best]) >= 1.25 * Score(readings[k]) || SitesFound(readings[k]) < kLeastSites) continue;
    // What does not fit its own plan at all is no rival.
    if (!WhyNotUsable(readings[k]).empty() && WhyNotUsable(readings[out.best]).empty()) continue;
    out.doubt = fmt::format("fits {} and {} about alike: name its plan in edition.yaml, or read it with one --plan", names[out.best], names[k]);
  }
  return out;
}

}  // namespace truepull
