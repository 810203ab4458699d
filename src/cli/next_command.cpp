// SPDX-License-Identifier: Apache-2.0
// `truepull next READING...`: where the plate goes in the next pass, and the guide.
#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/next_job.h"
#include "cli/planning_flags.h"


namespace truepull {
namespace {

void Next(const NextOptions& options, CommandContext& context) {
  if (const auto settled = SettleGuideFlags(*options.guide, context); !settled) return context.Fail(settled.error());
  if (options.readings.empty()) {
    if (!options.corrections.empty()) {
      return context.Fail({ErrorCode::kBadArgument, "--corrections: the first pass has no reading to correct",
                           "give the reading, or leave out --corrections"});
    }
    return RunFirstPass(options, context);
  }
  const auto list = ReadingsIn(options.readings);
  if (!list) return context.Fail(list.error());
  if (options.together) return RunTogether(options, list->readings, context);
  // One file goes straight into DIR; several, or a folder of them, into DIR/<name>/.
  if (!list->by_name) return RunNext(options, list->readings.front(), options.out.folder, context);
  if (!options.corrections.empty()) {
    return context.Fail({ErrorCode::kBadArgument, "--corrections: these are for one sheet, and there are several readings",
                         "put each sheet's corrections.yaml beside its reading.yaml"});
  }
  GuideBook book;  // All sheets in one PDF, in the order of their names.
  for (const NamedReading& reading : list->readings) {
    RunNext(options, reading, std::filesystem::path(options.out.folder) / reading.name, context, &book);
  }
  WriteGuideBook(book, options.out, context);
}

}  // namespace

void AddNextCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand(
      "next", "Place the next pass on what was found, and draw its true-size guide");
  const auto options = std::make_shared<NextOptions>();
  const auto pull = std::make_shared<std::string>();
  command.add_option("READING", options->readings,
                     "reading.yaml, several of them, or a folder of them; none: the first pass of --plan");
  command.add_option("--plan", options->plan, "plan.yaml: for the first pass, or newer passes and figures for a reading")
      ->type_name("FILE");
  command.add_option("--corrections", options->corrections,
                     "The printer's word on sites (default: corrections.yaml beside the reading, if there)")
      ->type_name("FILE");
  AddGuideFlags(command, options->guide);
  command.add_option("--pull", *pull, "How the sheet will be at the pull: dry, damp or unknown (default: the pass's own)")
      ->type_name("STATE")
      ->check(CLI::IsMember({"dry", "damp", "unknown"}));
  command.add_option("--pass", options->pass, "Name of the pass (default: the plan's first later one)")->type_name("NAME");
  AddPlanningFlags(command, options);
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull next out/reading.yaml --pull damp --out next\n"
                 "writes placements.csv, seams.csv, guide.pdf and guide.svg into next/");
  command.callback([options, pull, &context] {
    if (options->readings.empty() && options->plan.empty()) {
      throw CLI::RequiredError("READING (or --plan for the first pass)");
    }
    if (*pull == "dry") options->pull = SheetState::kDry;
    if (*pull == "damp") options->pull = SheetState::kDamp;
    if (*pull == "unknown") options->pull = SheetState::kUnknown;
    Next(*options, context);
  });
}

}  // namespace truepull
