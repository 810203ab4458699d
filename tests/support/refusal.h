// SPDX-License-Identifier: Apache-2.0
// What a plan's text is refused with, as the program prints it.
#ifndef TRUEPULL_TESTS_SUPPORT_REFUSAL_H_
#define TRUEPULL_TESTS_SUPPORT_REFUSAL_H_

#include <string>

#include "truepull/plan_text.h"

namespace truepull::testing {

/// Message and, on its own line, the way out; "accepted" when the plan is fine.
inline std::string Refusal(const std::string& text) {
  const auto parsed = ParsePlan(text, "plan.yaml");
  if (parsed) return "accepted";
  return parsed.error().message + (parsed.error().hint.empty() ? "" : "\n  try: " + parsed.error().hint);
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_REFUSAL_H_
