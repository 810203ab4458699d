// SPDX-License-Identifier: Apache-2.0
// plan.yaml: from text to a checked plan and back.
#ifndef TRUEPULL_PLAN_TEXT_H_
#define TRUEPULL_PLAN_TEXT_H_

#include <string>
#include <string_view>

#include "truepull/plan.h"
#include "truepull/result.h"

namespace truepull {

/// Reads and checks the text of a plan; docs/formats.md lists every key.
///
/// text   The whole file, UTF-8. Never a path.
/// name   What messages call it, e.g. "plan.yaml".
///
/// Lengths come out in mm and turns in rad whatever the file's `units`. Points of an
/// outline that repeat the one before (or the last the first) are dropped: they change
/// nothing. Fails with kInvalidFile; the message begins "name:line:column: key ..." and
/// shows the line with a caret.
Result<ParsedPlan> ParsePlan(std::string_view text, const std::string& name);

/// Writes a plan as text that ParsePlan turns into the same plan, to the last digit
/// (turns: as long as they came from degrees). Always in mm; without optional keys that
/// stand at their defaults.
std::string WritePlan(const Plan& plan);

}  // namespace truepull

#endif  // TRUEPULL_PLAN_TEXT_H_
