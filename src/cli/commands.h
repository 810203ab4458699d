// SPDX-License-Identifier: Apache-2.0
// The program's subcommands. A new one is a line here, a line in main.cpp, and a file.
#ifndef TRUEPULL_CLI_COMMANDS_H_
#define TRUEPULL_CLI_COMMANDS_H_

namespace CLI {
class App;
}

namespace truepull {

class CommandContext;

// Each adds its subcommand to the program; the subcommand's callback does the work and
// sets context.exit_code.
void AddCardsCommand(CLI::App& program, CommandContext& context);
void AddCheckCommand(CLI::App& program, CommandContext& context);
void AddReadCommand(CLI::App& program, CommandContext& context);
void AddNextCommand(CLI::App& program, CommandContext& context);
void AddSimulateCommand(CLI::App& program, CommandContext& context);
void AddReviewCommand(CLI::App& program, CommandContext& context);
void AddTileCommand(CLI::App& program, CommandContext& context);
void AddLayoutCommand(CLI::App& program, CommandContext& context);
void AddFrameCommand(CLI::App& program, CommandContext& context);

}  // namespace truepull

#endif  // TRUEPULL_CLI_COMMANDS_H_
