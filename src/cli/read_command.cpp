// SPDX-License-Identifier: Apache-2.0
// `truepull read --plan plan.yaml PHOTO...`: where every pull landed.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <memory>
#include <opencv2/core/utils/logger.hpp>

#include "cli/commands.h"
#include "cli/read_job.h"
#include "truepull/io.h"
#include "truepull/photo_file.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

void ReadAll(const ReadOptions& options, const std::vector<NamedPlan>& plans, const PhotoList& list, CommandContext& context) {
  std::vector<std::string> bad;
  bool look = false;
  UsedCodes used;
  for (const NamedPhoto& photo : list.photos) {
    const ReadOutcome outcome = RunRead(options, plans, photo, &used, context);
    if (outcome == ReadOutcome::kFailed) bad.push_back(photo.file.filename().string());
    look = look || outcome == ReadOutcome::kLook;
  }
  const std::size_t all = list.photos.size();
  if (bad.size() == all) {
    context.exit_code = kExitUnusable;
  } else {
    context.exit_code = look || !bad.empty() ? kExitLook : kExitDone;
  }
  context.Say("{} of {} photos read", all - bad.size(), all);
  if (bad.empty()) return;
  // Said at the end too: in a long list the sentences above have scrolled away.
  std::fflush(stdout);
  fmt::print(stderr, "could not be used: {}\n", fmt::join(bad, ", "));
}

void Read(const ReadOptions& options, CommandContext& context) {
  // What OpenCV has to say of a bad file is said in our own words.
  cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
  const auto plans = LoadPlans(options.plans);
  if (!plans) return context.Fail(plans.error());
  const auto list = PhotosIn(options.photos);
  if (!list) return context.Fail(list.error());
  if (!options.place_by.points.empty() && list->photos.size() != 1) {
    return context.Fail({ErrorCode::kBadArgument, fmt::format("--point: points are of one photo, and {} are given", list->photos.size()), "read each by itself"});
  }
  if (list->by_name) {
    ReadAll(options, *plans, *list, context);
  } else {
    RunRead(options, *plans, list->photos.front(), nullptr, context);
  }
  if (context.quiet || context.exit_code == kExitUnusable) return;
  // Of the plan, not of the sheet: no reason for exit status 3 (`check` gives it).
  std::fflush(stdout);
  for (const NamedPlan& plan : *plans) {
    for (const std::string& w : plan.warnings) fmt::print(stderr, "{}: {}\n", plan.name, w);
  }
}

}  // namespace

void AddReadCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("read", "Measure in a photo where every pull landed");
  const auto options = std::make_shared<ReadOptions>();
  const auto sheet = std::make_shared<std::string>("unknown");
  const auto points = std::make_shared<std::vector<std::string>>();
  command.add_option("PHOTO", options->photos, "Photo of the whole sheet (JPEG, HEIC, PNG, TIFF or WebP), several, or a folder of them")
      ->expected(0, -1);
  command.add_option("--plan", options->plans, "plan.yaml: the sheet, the tile and the lattice that was meant; or several: each photo gets the one that fits")
      ->required()
      ->allow_extra_args(false)
      ->type_name("FILE");
  command.add_option("--sheet", *sheet, "How the sheet was when photographed: dry, damp or unknown")
      ->type_name("STATE")
      ->capture_default_str()
      ->check(CLI::IsMember({"dry", "damp", "unknown"}));
  command.add_option("--pass", options->pass, "The later pass of the plan that is to be measured (default: its sheet card's, else the first pass)")->type_name("NAME");
  command.add_option("--before", options->before, "Readings of earlier passes of this sheet: says how the pass sits on each")
      ->type_name("READING");
  command.add_flag("!--no-regions", options->lines, "Leave the lines round every colour out of picture.png");
  command.add_option("--point", *points, "A place that is known in the photo (pixels) and on the sheet (mm), instead of the sheet's edges; four or more")
      ->type_name("PX,PY=X,Y")
      ->allow_extra_args(false)
      ->delimiter('\0');
  command.add_flag("--marks", options->place_by.margin_marks,
                   "Go by the four crosses in the margin that `next --marks` has made, not by the sheet's edges (torn, trimmed, taped)");
  command.add_option("--beneath", options->beneath, "The photo that the last of these readings was made from (else looked for beside PHOTO and READING)")
      ->type_name("PHOTO");
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull read --plan plan.yaml --sheet damp gulls.jpg --out out\n"
                 "writes reading.yaml, drift.csv, picture.png and reading.html into out/; of several photos, or a\n"
                 "folder of them, each into out/CODE/PASS/ by its sheet card, or out/NAME/ without one. How to take\n"
                 "the photo: docs/photo.md");
  command.callback([options, sheet, points, &context] {
    for (const std::string& text : *points) {
      const auto point = ParseGivenPoint(text);
      if (!point) return context.Fail(point.error());
      options->place_by.points.push_back(*point);
    }
    // `--before READING... PHOTO`: what is named like a photo is one.
    const auto photo = std::stable_partition(options->before.begin(), options->before.end(),
                                             [](const std::string& word) { return !HasPhotoName(word); });
    options->photos.insert(options->photos.end(), photo, options->before.end());
    options->before.erase(photo, options->before.end());
    if (options->photos.empty()) throw CLI::RequiredError("PHOTO");
    options->sheet = *sheet == "dry" ? SheetState::kDry : *sheet == "damp" ? SheetState::kDamp : SheetState::kUnknown;
    Read(*options, context);
  });
}

}  // namespace truepull
