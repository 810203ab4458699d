// SPDX-License-Identifier: Apache-2.0
// The flags of `next` that say how the guide is drawn, and what is written from them.
#ifndef TRUEPULL_CLI_GUIDE_FLAGS_H_
#define TRUEPULL_CLI_GUIDE_FLAGS_H_

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "cli/command_context.h"
#include "truepull/guide.h"
#include "truepull/placement.h"
#include "truepull/plan.h"

namespace truepull {

struct GuideFlags {
  bool mirror = false;
  Paper paper = Paper::kA4;
  std::string date;
};

/// Adds the guide's flags to a command; they are checked when the command line is read.
void AddGuideFlags(CLI::App& command, const std::shared_ptr<GuideFlags>& flags);

/// Carries the flags into a request: which way round, the date.
void ApplyGuideFlags(const GuideFlags& flags, GuideRequest& request);

/// Draws the guide and writes it with the placements (and `more` files of the caller's)
/// into the folder, all or nothing; says what was written.
void WriteGuide(const GuideFlags& flags, const OutputOptions& output, const Plan& plan,
                const std::vector<Placement>& placements, const GuideRequest& request,
                const std::filesystem::path& folder, CommandContext& context,
                std::vector<std::pair<std::string, std::string>> more = {});

}  // namespace truepull

#endif  // TRUEPULL_CLI_GUIDE_FLAGS_H_
