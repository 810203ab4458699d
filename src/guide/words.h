// SPDX-License-Identifier: Apache-2.0
// What a guide says in words.
#ifndef TRUEPULL_SRC_GUIDE_WORDS_H_
#define TRUEPULL_SRC_GUIDE_WORDS_H_

#include <vector>

#include "truepull/guide.h"

namespace truepull {

GuideWords WordsFor(const Plan& plan, const std::vector<Placement>& placements,
                    const GuideRequest& request);

}  // namespace truepull

#endif  // TRUEPULL_SRC_GUIDE_WORDS_H_
