// SPDX-License-Identifier: Apache-2.0
#include "cli/next_job.h"

#include <algorithm>

#include "cli/progress_line.h"
#include "truepull/corrections_text.h"
#include "truepull/drift.h"
#include "truepull/io.h"
#include "truepull/placement.h"
#include "truepull/plan_text.h"
#include "truepull/reading_text.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

Result<Plan> LoadPlan(const fs::path& file) {
  const auto text = ReadWholeFile(file, std::size_t{64} << 20);
  if (!text) return text.error();
  auto parsed = ParsePlan(*text, file.filename().string());
  if (!parsed) return parsed.error();
  return parsed->plan;
}

// The pass meant: the one named, or the first later one; null where a plan has none.
Result<const Pass*> FindPass(const Plan& plan, const std::string& name, bool first_pass) {
  if (first_pass) {
    if (name.empty() || name == "first") return nullptr;
    return Error{ErrorCode::kBadArgument, "--pass " + name + ": without a reading only the first pass can be placed",
                 "leave out --pass, or give the reading that the pass goes on"};
  }
  if (plan.passes.empty()) return nullptr;
  if (name.empty()) return &plan.passes.front();
  std::string known;
  for (const Pass& p : plan.passes) {
    if (p.name == name) return &p;
    known += (known.empty() ? "" : ", ") + p.name;
  }
  return Error{ErrorCode::kBadArgument, "--pass " + name + ": the plan has no pass of this name", "it has: " + known};
}

Status Refuse(const Pass* pass) {
  if (pass == nullptr || pass->plate == PassPlate::kTile) return Done{};
  return Error{ErrorCode::kNotBuiltYet,
               "pass " + pass->name + ": a guide for a block or a plate for the whole sheet is not built yet",
               "give the pass `plate: tile`"};
}

// A newer plan for a reading: its words and figures may have changed, its places not.
Result<Plan> WithNewerPlan(const Plan& read, Plan given, const std::string& file) {
  // A lattice that was to be fitted is the reading's.
  if (read.lattice.fit_origin && given.lattice.fit_origin) given.lattice = read.lattice;
  const bool same = read.sheet.width_mm == given.sheet.width_mm && read.sheet.height_mm == given.sheet.height_mm &&
                    AllSites(read.lattice) == AllSites(given.lattice);
  bool same_places = same;
  for (const Site site : same ? AllSites(read.lattice) : std::vector<Site>{}) {
    const Pose a = IdealPose(read.lattice, site), b = IdealPose(given.lattice, site);
    // A reading's own plan has been through a file: the last digit may differ.
    same_places = same_places && Norm(a.at - b.at) < 1e-6 &&
                  std::abs(WrapTurn(a.turn_rad - b.turn_rad)) < 1e-9 &&
                  OutlineAt(read, site).size() == OutlineAt(given, site).size();
  }
  if (!same_places) {
    return Error{ErrorCode::kInvalidFile, file + ": is not the plan that the sheet was read by (sheet, tile or lattice differ)",
                 "read the photo again with this plan, or leave out --plan"};
  }
  return given;
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
  GuideRequest request;
  request.first_pass = true;
  ApplyGuideFlags(*options.guide, *plan, request);
  request.left_handed = options.left_handed;
  // The plan's places are those of the sheet as it will be photographed.
  request.state = StateAtPull(*plan, SheetState::kUnknown, SheetState::kUnknown);
  auto placements = PlaceFirstPass(*plan);
  NumberPulls(*plan, placements, true, options.left_handed);
  context.Say("{}: the first pass, {} sites at their ideal places", fs::path(options.plan).filename().string(),
              placements.size());
  WriteGuide(*options.guide, options.out, *plan, placements, request, options.out.folder, context);
}

void RunNext(const NextOptions& options, const NamedReading& named, const fs::path& folder, CommandContext& context, GuideBook* book) {
  const std::string name = named.name;
  ProgressLine progress("placing " + name, context.quiet);
  const auto text = ReadWholeFile(named.file, std::size_t{64} << 20);
  if (!text) return context.Fail(text.error());
  auto reading = ParseReading(*text, named.shown);
  if (!reading) return context.Fail(reading.error());
  if (!options.plan.empty()) {
    const auto given = LoadPlan(options.plan);
    if (!given) return context.Fail(given.error());
    auto plan = WithNewerPlan(reading->plan, *given, fs::path(options.plan).filename().string());
    if (!plan) return context.Fail(plan.error());
    reading->plan = *plan;
  }
  const Plan& plan = reading->plan;

  // Corrections: the file named, or the one beside the reading.
  std::vector<Correction> corrections;
  fs::path words = options.corrections;
  std::error_code ec;
  if (words.empty() && fs::is_regular_file(named.file.parent_path() / "corrections.yaml", ec)) {
    words = named.file.parent_path() / "corrections.yaml";
  }
  if (!words.empty()) {
    const auto said = ReadWholeFile(words, std::size_t{16} << 20);
    if (!said) return context.Fail(said.error());
    auto parsed = ParseCorrections(*said, words.filename().string(), plan);
    if (!parsed) return context.Fail(parsed.error());
    corrections = *parsed;
  }

  const auto pass = FindPass(plan, options.pass, false);
  if (!pass) return context.Fail(pass.error());
  if (const auto served = Refuse(*pass); !served) return context.Fail(served.error());

  SheetState pulled = options.pull.value_or(SheetState::kUnknown);
  if (!options.pull && *pass != nullptr) pulled = (*pass)->pulled;
  GuideRequest request;
  request.pass = *pass;
  request.pass_name = options.pass;
  ApplyGuideFlags(*options.guide, plan, request);
  request.left_handed = options.left_handed;
  // The photo's name says more than the folder that its reading happens to lie in.
  request.sheet_name = fs::path(reading->photo_name).stem().string();
  request.state = StateAtPull(plan, reading->sheet.state, pulled);
  // The first impressions as the photo shows them, carried to the pull.
  for (const SiteReading& site : reading->sheet.sites) {
    if (site.state == SiteState::kMissing) request.first_impressions.emplace_back();
    else request.first_impressions.push_back(PoseAtThePull(OutlineAt(plan, site.site), site.found, request.state));
  }
  NextPassRequest wanted;
  wanted.favour = options.favour;
  wanted.lattice = options.lattice;
  wanted.trap_mm = options.trap_mm;
  wanted.state = request.state;
  NextPass next = PlanNextPass(*reading, corrections, wanted);
  NumberPulls(plan, next.placements, false, options.left_handed);
  const std::vector<Placement>& placements = next.placements;

  const DriftReport drift = MeasureDrift(plan, ApplyCorrections(*reading, corrections).sheet);
  std::vector<std::string> look;
  for (const SiteDrift& site : drift.sites) {
    const std::string why = NeedsALook(plan, site, corrections);
    if (!why.empty()) look.push_back(SiteLabel(site.site) + ": " + why);
  }
  const auto count = [&](Action action) {
    return std::count_if(placements.begin(), placements.end(), [&](const Placement& p) { return p.action == action; });
  };
  context.Say("{}: {} to pull, {} to strengthen, {} to look at, {} to leave{}", name, count(Action::kPull),
              count(Action::kStrengthen), count(Action::kLook), count(Action::kLeave),
              corrections.empty() ? "" : fmt::format(" ({} of them by {})", corrections.size(), words.filename().string()));
  for (const std::string& line : OutlookLines(next, options)) context.Say("  {}", line);
  WriteGuide(*options.guide, options.out, plan, placements, request, folder, context, book,
             {{"seams.csv", WriteSeamsCsv(next.seams)}});
  look.insert(look.end(), next.unmet.begin(), next.unmet.end());
  if (context.exit_code != kExitUnusable) context.Warn(name, look);
}

}  // namespace truepull
