// SPDX-License-Identifier: Apache-2.0
// One page with everything on it.
#ifndef TRUEPULL_SRC_GUIDE_WHOLE_SHEET_H_
#define TRUEPULL_SRC_GUIDE_WHOLE_SHEET_H_

#include <optional>

#include "truepull/guide.h"

namespace truepull {

/// A page of a given size that holds the sheet and (if asked for) all words, or nothing if
/// it cannot.
std::optional<GuidePage> LayOutOnOnePage(const Guide& guide, double width_mm, double height_mm, bool words);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_WHOLE_SHEET_H_
