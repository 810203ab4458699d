// SPDX-License-Identifier: Apache-2.0
// The faults of `truepull simulate` as flags: what each is called and what it sets.
#ifndef TRUEPULL_CLI_SIMULATE_FLAGS_H_
#define TRUEPULL_CLI_SIMULATE_FLAGS_H_

#include <functional>
#include <vector>

#include "truepull/render.h"

namespace CLI {
class App;
}

namespace truepull {

/// What the flags given ask for, in order; applied on top of `--like` or of no faults.
using SimulateChanges = std::vector<std::function<void(RenderOptions&)>>;

/// Adds one flag to each fault. `changes` must outlive the parsing.
void AddSimulateFlags(CLI::App& command, SimulateChanges& changes);

}  // namespace truepull

#endif  // TRUEPULL_CLI_SIMULATE_FLAGS_H_
