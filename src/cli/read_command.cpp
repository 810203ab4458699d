// SPDX-License-Identifier: Apache-2.0
// `truepull read --plan plan.yaml PHOTO...`: where every pull landed.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <memory>
#include <opencv2/core/utils/logger.hpp>

#include "cli/commands.h"
#include "cli/read_job.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"

namespace truepull {
namespace {

namespace fs = std::filesystem;

void ReadAll(const ReadOptions& options, const Plan& plan, const PhotoList& list, CommandContext& context) {
  std::vector<std::string> bad;
  bool look = false;
  for (const NamedPhoto& photo : list.photos) {
    const ReadOutcome outcome = RunRead(options, plan, photo, fs::path(options.out.folder) / photo.name, context);
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
  const fs::path plan_file(options.plan);
  const auto text = ReadWholeFile(plan_file, std::size_t{64} << 20);
  if (!text) return context.Fail(text.error());
  const auto parsed = ParsePlan(*text, plan_file.filename().string());
  if (!parsed) return context.Fail(parsed.error());
  const auto list = PhotosIn(options.photos);
  if (!list) return context.Fail(list.error());
  if (list->by_name) {
    ReadAll(options, parsed->plan, *list, context);
  } else {
    RunRead(options, parsed->plan, list->photos.front(), options.out.folder, context);
  }
  if (context.quiet || context.exit_code == kExitUnusable) return;
  // Of the plan, not of the sheet: no reason for exit status 3 (`check` gives it).
  std::fflush(stdout);
  for (const std::string& w : parsed->warnings) fmt::print(stderr, "{}: {}\n", plan_file.filename().string(), w);
}

}  // namespace

void AddReadCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("read", "Measure in a photo where every pull landed");
  const auto options = std::make_shared<ReadOptions>();
  const auto sheet = std::make_shared<std::string>("unknown");
  command.add_option("PHOTO", options->photos, "Photo of the whole sheet (JPEG, PNG, TIFF or WebP), several, or a folder of them")
      ->required();
  command.add_option("--plan", options->plan, "plan.yaml: the sheet, the tile and the lattice that was meant")
      ->required()
      ->type_name("FILE");
  command.add_option("--sheet", *sheet, "How the sheet was when photographed: dry, damp or unknown")
      ->type_name("STATE")
      ->capture_default_str()
      ->check(CLI::IsMember({"dry", "damp", "unknown"}));
  command.add_option("--pass", options->pass, "The later pass of the plan that is to be measured (default: the first pass)")->type_name("NAME");
  command.add_option("--before", options->before, "Readings of earlier passes of this sheet: says how the pass sits on each")
      ->type_name("READING");
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull read --plan plan.yaml --sheet damp gulls.jpg --out out\n"
                 "writes reading.yaml, drift.csv, picture.png and reading.html into out/; of several photos, or a\n"
                 "folder of them, each into out/NAME/. How to take the photo: docs/photo.md");
  command.callback([options, sheet, &context] {
    options->sheet = *sheet == "dry" ? SheetState::kDry : *sheet == "damp" ? SheetState::kDamp : SheetState::kUnknown;
    Read(*options, context);
  });
}

}  // namespace truepull
