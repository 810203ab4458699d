// SPDX-License-Identifier: Apache-2.0
#include "cli/next_job.h"

#include <algorithm>
#include <iterator>

#include "cli/progress_line.h"
#include "truepull/corrections_text.h"
#include "truepull/drift.h"
#include "truepull/pass_register.h"
#include "truepull/pass_rules.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

// The sheet's state at the pull: by its own ticks, or by what was said of photo and pull.
Result<PullState> StateFor(const NextOptions& options, const Plan& plan, SheetState photographed, SheetState pulled) {
  if (!options.ticks) return StateAtPull(plan, photographed, pulled);
  TickMeasure ticks = *options.ticks;
  ticks.before_mm = options.ticks_before_mm;
  return StateFromTicks(plan, photographed, pulled, ticks);
}

void SayBlocks(const Plan& plan, const NextPass& next, CommandContext& context) {
  for (const BlockMove& b : next.blocks) {
    const std::string which = next.blocks.size() == 1 ? std::string("the block")
        : "the block from " + SiteLabel(next.placements[b.sites.front()].site) + " to " + SiteLabel(next.placements[b.sites.back()].site);
    if (b.impressions == 0) {
      context.Say("  {}: no impression to go by; it stays where the plan has it", which);
      continue;
    }
    const Point c = Apply(b.move, b.move.centre) - b.move.centre;
    context.Say("  {}: {:+.2f} mm in x, {:+.2f} mm in y, turned {:+.2f} degrees about its middle; left over {:.2f} mm in the mean, {:.2f} mm at {}",
                which, c.x, c.y, DegFromRad(b.move.turn_rad), b.mean_left_mm, b.worst_left_mm, SiteLabel(b.worst));
  }
  if (next.blocks.size() != 1 || next.blocks[0].impressions == 0) return;
  context.Say("  with the block left where it printed by the plan, move");
  for (const std::string& line : StopLines(plan, next.blocks[0].move)) context.Say("  {}", line);
}

}  // namespace

void RunFirstPass(const NextOptions& options, CommandContext& context) {
  const auto plan = LoadPlan(options.plan);
  if (!plan) return context.Fail(plan.error());
  if (plan->lattice.fit_origin) {
    return context.Fail({ErrorCode::kBadArgument,
                         fs::path(options.plan).filename().string() + ": a lattice whose origin is `fit` has no places before the first pass is printed",
                         "give lattice.origin, rows and columns in numbers, or give the reading of the first pass"});
  }
  const auto pass = FindPass(*plan, options.pass, true);
  if (!pass) return context.Fail(pass.error());
  auto trap = MakeTrap(options, *plan, nullptr, nullptr);
  if (!trap) return context.Fail(trap.error());
  GuideRequest request;
  request.first_pass = true;
  ApplyGuideFlags(*options.guide, *plan, request);
  request.left_handed = options.times.left_handed;
  // The plan's places are those of the sheet as it will be photographed.
  request.state = StateAtPull(*plan, SheetState::kUnknown, SheetState::kUnknown);
  auto placements = PlaceFirstPass(*plan);
  auto schedule = MakeSchedule(options, *plan, "first", true, placements);
  if (!schedule) return context.Fail(schedule.error());
  std::move(schedule->files.begin(), schedule->files.end(), std::back_inserter(trap->files));
  context.Say("{}: the first pass, {} sites at their ideal places", fs::path(options.plan).filename().string(),
              placements.size());
  for (const std::string& line : trap->lines) context.Say("  {}", line);
  WriteGuide(*options.guide, options.out, *plan, placements, request, options.out.folder, context, nullptr,
             std::move(trap->files));
}

void RunNext(const NextOptions& options, const NamedReading& named, const fs::path& folder, CommandContext& context, GuideBook* book) {
  const std::string name = named.name;
  ProgressLine progress("placing " + name, context.quiet);
  const auto loaded = LoadForNext(options, named);
  if (!loaded) return context.Fail(loaded.error());
  const Reading& reading = loaded->reading;
  const Plan& plan = reading.plan;
  const std::vector<Correction>& corrections = loaded->corrections;

  std::string pass_name = options.pass;
  if (options.finish) {
    if (pass_name.empty()) pass_name = reading.pass;
    if (pass_name != reading.pass) {
      return context.Fail({ErrorCode::kBadArgument, fmt::format("{}: is a reading of pass {}; --finish places the rest of the pass that was read", named.shown, reading.pass),
                           "leave out --pass, or give the reading of " + pass_name});
    }
  } else if (pass_name.empty() && reading.pass != "first") {
    // What comes next is what goes by the pass that was read.
    for (const Pass& p : plan.passes) {
      if (pass_name.empty() && p.registers_to == reading.pass) pass_name = p.name;
    }
  }
  const auto pass = FindPass(plan, pass_name, options.finish && pass_name == "first");
  if (!pass) return context.Fail(pass.error());

  std::string wander, other_pass;
  if (*pass != nullptr && !options.finish) {
    if ((*pass)->registers_to != reading.pass) {
      other_pass = fmt::format("pass {} goes by {}, but this is a reading of {}: the places follow {}; give the reading of {} (truepull read --pass {})",
                               (*pass)->name, (*pass)->registers_to, reading.pass, reading.pass, (*pass)->registers_to, (*pass)->registers_to);
    }
    wander = ChainWords(plan, (*pass)->name);
  }
  SheetState pulled = options.pull.value_or(SheetState::kUnknown);
  if (!options.pull && *pass != nullptr) pulled = (*pass)->pulled;
  GuideRequest request;
  request.pass = *pass;
  request.pass_name = options.finish ? pass_name + ", the rest of it" : pass_name;
  request.finish = options.finish;
  ApplyGuideFlags(*options.guide, plan, request);
  request.left_handed = options.times.left_handed;
  // The photo's name says more than the folder that its reading happens to lie in.
  request.sheet_name = fs::path(reading.photo_name).stem().string();
  const auto state = StateFor(options, plan, reading.sheet.state, pulled);
  if (!state) return context.Fail(state.error());
  request.state = *state;
  // The first impressions as the photo shows them, carried to the pull.
  for (const SiteReading& site : reading.sheet.sites) {
    if (site.state == SiteState::kMissing) request.first_impressions.emplace_back();
    else request.first_impressions.push_back(PoseAtThePull(OutlineAt(plan, site.site), site.found, request.state));
  }
  NextPassRequest wanted;
  wanted.favour = options.favour;
  wanted.lattice = options.lattice;
  wanted.trap_mm = options.trap_mm;
  wanted.state = request.state;
  wanted.finish = options.finish;
  wanted.blocks = *pass != nullptr && (*pass)->plate != PassPlate::kTile;
  if (wanted.blocks) wanted.block_rows = (*pass)->block_rows, wanted.block_columns = (*pass)->block_columns;
  NextPass next = PlanNextPass(reading, corrections, wanted);
  PassRules rules;
  if (*pass != nullptr && !options.finish) rules = ApplyPassRules(plan, **pass, next);
  auto schedule = MakeSchedule(options, plan, *pass != nullptr ? (*pass)->name : options.finish ? "first" : "next", options.finish && *pass == nullptr, next.placements);
  if (!schedule) return context.Fail(schedule.error());
  const std::vector<Placement>& placements = next.placements;

  const DriftReport drift = MeasureDrift(plan, ApplyCorrections(reading, corrections).sheet);
  auto trap = MakeTrap(options, plan, *pass, &drift);
  if (!trap) return context.Fail(trap.error());
  auto ladder = MakeLadder(options, reading, corrections, wanted, request);
  if (!ladder) return context.Fail(ladder.error());
  auto colours = MakeColours(options, reading, *pass, placements, request.state);
  if (!colours) return context.Fail(colours.error());
  std::vector<std::string> look;
  if (!other_pass.empty()) look.push_back(other_pass);
  look.insert(look.end(), rules.findings.begin(), rules.findings.end());
  if (!request.state.known) {
    look.push_back("NOT CORRECTED FOR DAMPNESS: " + request.state.why_not_known +
                   " Say read --sheet and next --pull (dry or damp), or measure two ticks each way and give --ticks.");
  }
  for (const SiteDrift& site : drift.sites) {
    if (options.finish && site.state == SiteState::kMissing) continue;  // Not yet printed.
    const std::string why = NeedsALook(plan, site, corrections);
    if (!why.empty()) look.push_back(SiteLabel(site.site) + ": " + why);
  }
  const auto count = [&](Action action) {
    return std::count_if(placements.begin(), placements.end(), [&](const Placement& p) { return p.action == action; });
  };
  context.Say("{}: {} to pull, {} to strengthen, {} to look at, {} to leave{}", name, count(Action::kPull),
              count(Action::kStrengthen), count(Action::kLook), count(Action::kLeave),
              corrections.empty() ? "" : fmt::format(" ({} of them by {})", corrections.size(), loaded->corrections_name));
  for (const std::string& line : OutlookLines(next, options)) context.Say("  {}", line);
  SayBlocks(plan, next, context);
  for (const std::string& note : rules.notes) context.Say("  {}", note);
  if (!wander.empty()) context.Say("  {}", wander);
  std::vector<std::pair<std::string, std::string>> more{{"seams.csv", WriteSeamsCsv(next.seams)}, {"misregister.csv", WriteMisregisterCsv(next)}};
  for (JobFiles* part : {&*schedule, &*trap, &*colours, &*ladder}) {
    for (const std::string& line : part->lines) context.Say("  {}", line);
    std::move(part->files.begin(), part->files.end(), std::back_inserter(more));
  }
  WriteGuide(*options.guide, options.out, plan, placements, request, folder, context, book, std::move(more));
  look.insert(look.end(), next.unmet.begin(), next.unmet.end());
  if (context.exit_code != kExitUnusable) context.Warn(name, look);
}

}  // namespace truepull
