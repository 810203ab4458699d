// SPDX-License-Identifier: Apache-2.0
// `truepull next READING...`: where the plate goes in the next pass, and the guide.
#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "cli/next_job.h"

#include "io/strict_number.h"

namespace truepull {
namespace {

// "register", "fit", "lattice", or how much of fit from 0 to 1. What is wrong, or nothing.
std::string ReadFavour(const std::string& word, NextOptions& options) {
  options.lattice = word == "lattice";
  options.favour = word == "fit" ? 1 : 0;
  if (word == "register" || word == "fit" || word == "lattice") return "";
  const auto number = ReadStrictNumber(word).value;
  if (!number || *number < 0 || *number > 1) {
    return "\"" + word + "\" is no favour: say register, fit, lattice, or a number from 0 (register) to 1 (fit)";
  }
  options.favour = *number;
  return "";
}

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
  const auto favour = std::make_shared<std::string>("register");
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
  command.add_option("--favour", *favour,
                     "What to favour: register (each plate on its own impression), fit (even seams), lattice (the ideal "
                     "places), or a number from 0 (register) to 1 (fit)")
      ->type_name("WORD")
      ->capture_default_str()
      ->check([](const std::string& word) {
        NextOptions tried;
        return ReadFavour(word, tried);
      });
  command.add_option("--trap", options->trap_mm,
                     "Overlap in mm that hides misregister: no plate goes further from its impression, and gaps are kept "
                     "narrower where that is possible")
      ->type_name("MM")
      ->check(CLI::Range(0.01, 20.0));
  command.add_flag("--left-handed", options->left_handed, "Number the pulls for the left hand");
  AddOutputOptions(command, options->out);
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull next out/reading.yaml --pull damp --out next\n"
                 "writes placements.csv, seams.csv, guide.pdf and guide.svg into next/");
  command.callback([options, pull, favour, &context] {
    if (options->readings.empty() && options->plan.empty()) {
      throw CLI::RequiredError("READING (or --plan for the first pass)");
    }
    ReadFavour(*favour, *options);
    if (*pull == "dry") options->pull = SheetState::kDry;
    if (*pull == "damp") options->pull = SheetState::kDamp;
    if (*pull == "unknown") options->pull = SheetState::kUnknown;
    Next(*options, context);
  });
}

}  // namespace truepull
