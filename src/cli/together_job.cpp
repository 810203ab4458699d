// SPDX-License-Identifier: Apache-2.0
// `next READING... --together`: one setting of block and stops for a run of sheets.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "cli/next_job.h"
#include "cli/progress_line.h"
#include "truepull/corrections_text.h"
#include "truepull/run_setting.h"

namespace truepull {
namespace {

const char* Word(SheetState state) {
  return state == SheetState::kDamp ? "damp" : state == SheetState::kDry ? "dry" : "not said";
}

std::string MoveWords(const RigidMove& m) {
  const auto side = [](double v, const char* plus, const char* minus) {
    return fmt::format("{:.2f} mm {}", std::abs(v), v >= 0 ? plus : minus);
  };
  return fmt::format("{}, {}, {:.2f} degrees {}", side(m.shift.x, "right", "left"), side(m.shift.y, "down", "up"),
                     std::abs(DegFromRad(m.turn_rad)), m.turn_rad >= 0 ? "clockwise" : "anticlockwise");
}

std::string Csv(const RunSetting& run, const std::vector<RunSheet>& sheets) {
  std::string out = "sheet,group,dx_mm,dy_mm,dturn_deg,shim_dx_mm,shim_dy_mm,shim_dturn_deg,left_mm,needs_own\n";
  const auto number = [](double v) {
    const std::string s = fmt::format("{:.4f}", v);
    return s == "-0.0000" ? std::string("0.0000") : s;
  };
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const RunShim& s = run.shims[i];
    out += fmt::format("{},{},{},{},{},{},{},{},{},{}\n", sheets[i].name, sheets[i].group, number(s.own.shift.x), number(s.own.shift.y),
                       number(DegFromRad(s.own.turn_rad)), number(s.shim.x), number(s.shim.y), number(DegFromRad(s.shim_turn_rad)),
                       number(s.left_mm), s.needs_own ? "yes" : "no");
  }
  return out;
}

}  // namespace

std::vector<std::string> StopLines(const Plan& plan, const RigidMove& move) {
  // The block stays; the sheet must come to lie so that the moved place falls on the block. A stop
  // touches the sheet's edge, so it goes where that point of the edge goes.
  std::vector<std::string> out;
  const double w = plan.sheet.width_mm, h = plan.sheet.height_mm;
  for (const auto& [name, at] : {std::pair<const char*, Point>("top left", {0, 0}), {"top right", {w, 0}},
                                 {"bottom left", {0, h}}, {"bottom right", {w, h}}}) {
    const Point by = ApplyInverse(move, at) - at;
    out.push_back(fmt::format("  a stop or pin at the {} corner: {:.2f} mm {}, {:.2f} mm {}", name, std::abs(by.x),
                              by.x >= 0 ? "right" : "left", std::abs(by.y), by.y >= 0 ? "down" : "up"));
  }
  return out;
}

void RunTogether(const NextOptions& options, const std::vector<NamedReading>& list, CommandContext& context) {
  std::vector<RunSheet> sheets;
  std::optional<Plan> plan;
  const Pass* pass = nullptr;
  for (const NamedReading& named : list) {
    auto loaded = LoadForNext(options, named);
    if (!loaded) return context.Fail(loaded.error());
    if (!plan) plan = loaded->reading.plan;
    else if (const auto same = WithNewerPlan(*plan, loaded->reading.plan, named.shown); !same) {
      return context.Fail({ErrorCode::kInvalidFile, named.shown + ": was read by another plan than " + list.front().shown + " (sheet, tile or lattice differ)",
                           "a run has one plan; leave this sheet out"});
    }
    RunSheet sheet;
    sheet.name = named.name;
    sheet.group = fmt::format("photographed {}", Word(loaded->reading.sheet.state));
    const Reading corrected = ApplyCorrections(loaded->reading, loaded->corrections);
    const auto pass_here = FindPass(loaded->reading.plan, options.pass, false);
    if (!pass_here) return context.Fail(pass_here.error());
    const SheetState pulled = options.pull.value_or(*pass_here != nullptr ? (*pass_here)->pulled : SheetState::kUnknown);
    const PullState state = StateAtPull(corrected.plan, corrected.sheet.state, pulled);
    for (const SiteReading& s : corrected.sheet.sites) {
      if (s.state == SiteState::kMissing) sheet.impressions.emplace_back();
      else sheet.impressions.push_back(PoseAtThePull(OutlineAt(corrected.plan, s.site), s.found, state));
    }
    sheets.push_back(std::move(sheet));
  }
  const auto pass_found = FindPass(*plan, options.pass, false);
  if (pass_found) pass = *pass_found;

  const RunSetting run = SetForRun(*plan, sheets);
  std::vector<std::string> look;
  context.Say("one setting for {} sheets: {}", sheets.size(), MoveWords(run.common));
  for (const auto& [group, move] : run.groups) {
    if (run.groups.size() > 1) context.Say("  {}: {}", group, MoveWords(move));
  }
  context.Say("from where block and sheet stood, with the block left where it is, move");
  for (const std::string& line : StopLines(*plan, run.common)) context.Say("{}", line);
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const RunShim& s = run.shims[i];
    RigidMove shim;
    shim.shift = s.shim, shim.turn_rad = s.shim_turn_rad;
    context.Say("  {}: {} beside it; {:.2f} mm off at its worst site", sheets[i].name, MoveWords(shim), s.left_mm);
    if (s.needs_own) look.push_back(fmt::format("{}: needs its own setting: {}", sheets[i].name, MoveWords(s.own)));
    if (s.impressions == 0) look.push_back(sheets[i].name + ": no impression to go by");
  }
  if (run.groups.size() > 1) look.push_back("the sheets were photographed dry and damp, or it was not said: set each group by its own move");

  std::vector<Placement> placements;
  for (const Site site : AllSites(plan->lattice)) {
    Placement p;
    p.site = site;
    const Pose ideal = IdealPose(plan->lattice, site);
    p.place = Apply(run.common, ideal);
    p.from_ideal = p.place.at - ideal.at;
    p.from_ideal_turn_rad = run.common.turn_rad;
    placements.push_back(p);
  }
  const auto order = NumberPulls(*plan, placements, false, options.times);
  if (!order) return context.Fail(order.error());
  GuideRequest request;
  request.pass = pass;
  request.pass_name = options.pass;
  ApplyGuideFlags(*options.guide, *plan, request);
  request.left_handed = options.times.left_handed;
  request.sheet_name = fmt::format("{} sheets together", sheets.size());
  const SheetState pulled = options.pull.value_or(pass != nullptr ? pass->pulled : SheetState::kUnknown);
  request.state = StateAtPull(*plan, pulled, pulled);
  request.state.photographed = pulled;
  WriteGuide(*options.guide, options.out, *plan, placements, request, options.out.folder, context, nullptr,
             {{"together.csv", Csv(run, sheets)}});
  if (context.exit_code != kExitUnusable) context.Warn("together", look);
}

}  // namespace truepull
