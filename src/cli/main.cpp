// SPDX-License-Identifier: Apache-2.0
// The program: reads the command line, runs one subcommand, gives its exit status.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <new>
#include <stdexcept>

#include "cli/command_context.h"
#include "cli/commands.h"

namespace {

int Run(int argc, char** argv) {
  CLI::App program("For people who print repeating tiles by hand in several colour passes: measures where\n"
                   "every pull landed, and shows where the plate must go next.");
  program.name("truepull");
  program.set_version_flag("--version", "truepull " TRUEPULL_VERSION);
  program.require_subcommand(1);
  program.footer("Each command has its own --help with an example, e.g. truepull check --help\n"
                 "Exit status: 0 done, 1 the input could not be used, 2 wrong usage, 3 done but look.");
  truepull::CommandContext context;
  truepull::AddTileCommand(program, context);
  truepull::AddLayoutCommand(program, context);
  truepull::AddCheckCommand(program, context);
  truepull::AddReadCommand(program, context);
  truepull::AddNextCommand(program, context);
  truepull::AddReviewCommand(program, context);
  truepull::AddCardsCommand(program, context);
  truepull::AddFrameCommand(program, context);
  truepull::AddSimulateCommand(program, context);
  try {
    program.parse(argc, argv);
  } catch (const CLI::ParseError& e) {
    // The option parser has codes of its own; all but help and version are wrong usage.
    return program.exit(e) == 0 ? truepull::kExitDone : truepull::kExitUsage;
  }
  return context.exit_code;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return Run(argc, argv);
  } catch (const std::bad_alloc&) {
    std::fputs("there is not enough memory for this\n", stderr);
  } catch (const std::exception& e) {
    // Everything expected comes as an Error; what is thrown this far is our own mistake.
    std::fprintf(stderr, "this is a bug of truepull, not of your files: %s\n", e.what());
  }
  return truepull::kExitUnusable;
}
