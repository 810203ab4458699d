// SPDX-License-Identifier: Apache-2.0
// The flags of `next` that say what is planned: favour, trap, paper, the rest of a pass, a run.
#ifndef TRUEPULL_CLI_PLANNING_FLAGS_H_
#define TRUEPULL_CLI_PLANNING_FLAGS_H_

#include <memory>

#include "cli/next_job.h"

namespace CLI {
class App;
}

namespace truepull {

/// Adds the flags to a command; they are checked when the command line is read.
void AddPlanningFlags(CLI::App& command, const std::shared_ptr<NextOptions>& options);

}  // namespace truepull

#endif  // TRUEPULL_CLI_PLANNING_FLAGS_H_
