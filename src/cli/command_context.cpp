// SPDX-License-Identifier: Apache-2.0
#include "cli/command_context.h"

#include <CLI/CLI.hpp>
#include <cstdio>

namespace truepull {

void CommandContext::SayLine(const std::string& line) { fmt::print("{}\n", line); }

void CommandContext::Warn(const std::string& about, const std::vector<std::string>& sentences) {
  if (sentences.empty()) return;
  if (!quiet) {
    std::fflush(stdout);
    for (const std::string& sentence : sentences) fmt::print(stderr, "{}: {}\n", about, sentence);
  }
  NeedsLook();
}

void CommandContext::NeedsLook() {
  if (exit_code == kExitDone) exit_code = kExitLook;
}

void CommandContext::Fail(const Error& error) {
  std::fflush(stdout);
  fmt::print(stderr, "{}\n", error.message);
  if (!error.hint.empty()) fmt::print(stderr, "  try: {}\n", error.hint);
  exit_code = kExitUnusable;
}

void AddOutputOptions(CLI::App& command, OutputOptions& options) {
  command.add_option("--out", options.folder, "Folder for what is written; made if it is not there")
      ->required()
      ->type_name("DIR");
  command.add_flag("--force", options.force, "Replace files in DIR even if another hand wrote or changed them");
}

void AddQuietOption(CLI::App& command, CommandContext& context) {
  command.add_flag("--quiet", context.quiet, "Print errors only");
}

}  // namespace truepull
