// SPDX-License-Identifier: Apache-2.0
// `truepull check FILE`: says what one of the program's files holds, or what is wrong.
#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>

#include "cli/command_context.h"
#include "cli/commands.h"
#include "truepull/io.h"
#include "truepull/plan_text.h"

namespace truepull {
namespace {

void CheckPlan(const std::string& text, const std::string& name, CommandContext& context) {
  const auto parsed = ParsePlan(text, name);
  if (!parsed) return context.Fail(parsed.error());
  const Plan& plan = parsed->plan;
  context.Say("{}: a plan{}", name, plan.title.empty() ? "" : ", \"" + plan.title + "\"");
  context.Warn(name, parsed->warnings);
}

void Check(const std::string& file, CommandContext& context) {
  const std::filesystem::path path(file);
  const auto text = ReadWholeFile(path, std::size_t{64} << 20);
  if (!text) return context.Fail(text.error());
  CheckPlan(*text, path.filename().string(), context);
}

}  // namespace

void AddCheckCommand(CLI::App& program, CommandContext& context) {
  CLI::App& command = *program.add_subcommand("check", "Check one of the program's files and say what is in it");
  const auto file = std::make_shared<std::string>();
  command.add_option("FILE", *file, "plan.yaml")->required();
  AddQuietOption(command, context);
  command.footer("Example:\n  truepull check plan.yaml");
  command.callback([file, &context] { Check(*file, context); });
}

}  // namespace truepull
