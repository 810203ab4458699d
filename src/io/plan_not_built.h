// SPDX-License-Identifier: Apache-2.0
// The one list of what plans may ask for and this version does not serve yet.
#ifndef TRUEPULL_IO_PLAN_NOT_BUILT_H_
#define TRUEPULL_IO_PLAN_NOT_BUILT_H_

#include <vector>

#include "io/yaml_cursor.h"

namespace truepull {

/// Keys and values that depend on a piece of work.
enum class PlanFeature { kLatticeFit, kPrintsMeasured };

/// Where a plan asks for one.
struct PlanFeatureUse {
  PlanFeature feature;
  YamlCursor at;
};

/// Reports the first use that this version does not serve.
void RefuseWhatIsNotBuilt(const std::vector<PlanFeatureUse>& uses);

}  // namespace truepull

#endif  // TRUEPULL_IO_PLAN_NOT_BUILT_H_
