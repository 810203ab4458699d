// SPDX-License-Identifier: Apache-2.0
// What a guide.yaml holds: for `check`, and for those who read it elsewhere.
#ifndef TRUEPULL_GUIDE_TEXT_H_
#define TRUEPULL_GUIDE_TEXT_H_

#include <string>
#include <string_view>

#include "truepull/result.h"

namespace truepull {

struct GuideFacts {
  std::string use;       // "general", "over", ...
  bool mirrored = false;
  std::size_t pages = 0, marks = 0, sites = 0;
};

/// Reads over a guide.yaml: its head, and that every mark has a role and points or words.
/// Fails with kInvalidFile; messages begin with `name`.
Result<GuideFacts> CheckGuideYaml(std::string_view text, const std::string& name);

}  // namespace truepull

#endif  // TRUEPULL_GUIDE_TEXT_H_
