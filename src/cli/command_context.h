// SPDX-License-Identifier: Apache-2.0
// What every subcommand shares: how it speaks, fails and ends.
#ifndef TRUEPULL_CLI_COMMAND_CONTEXT_H_
#define TRUEPULL_CLI_COMMAND_CONTEXT_H_

#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

#include "truepull/result.h"

namespace CLI {
class App;
}

namespace truepull {

// The program's exit status.
inline constexpr int kExitDone = 0;
inline constexpr int kExitUnusable = 1;   // The input could not be used.
inline constexpr int kExitUsage = 2;      // Wrong usage.
inline constexpr int kExitLook = 3;       // Done, but something needs a look.

class CommandContext {
 public:
  bool quiet = false;
  int exit_code = kExitDone;

  /// A line of results on standard output; nothing with --quiet.
  template <typename... Args>
  void Say(fmt::format_string<Args...> format, Args&&... args) const {
    if (!quiet) SayLine(fmt::format(format, std::forward<Args>(args)...));
  }

  /// Things that need a look, on standard error, each on its line; the exit code
  /// becomes 3 unless something failed. Nothing is shown with --quiet.
  void Warn(const std::string& about, const std::vector<std::string>& sentences);

  /// Something to look at that was said elsewhere: the exit code becomes 3.
  void NeedsLook();

  /// Prints the error and its way out on standard error; the exit code becomes 1.
  void Fail(const Error& error);

 private:
  static void SayLine(const std::string& line);
};

/// Where a command writes: --out DIR (required) and --force.
struct OutputOptions {
  std::string folder;
  bool force = false;
};
void AddOutputOptions(CLI::App& command, OutputOptions& options);

/// --quiet.
void AddQuietOption(CLI::App& command, CommandContext& context);

}  // namespace truepull

#endif  // TRUEPULL_CLI_COMMAND_CONTEXT_H_
