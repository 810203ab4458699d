// SPDX-License-Identifier: Apache-2.0
#include "io/plan_not_built.h"

namespace truepull {
namespace {

struct NotBuilt {
  PlanFeature feature;
  const char* sentence;  // After the key path.
  const char* hint;
};

// Take a line out when the work behind it lands.
constexpr NotBuilt kNotBuilt[] = {
    {PlanFeature::kPrintsMeasured, "cannot be measured yet: this version does not find the share that prints",
     "give the share of the outline that a good pull covers, from 0 to 1"},
};

}  // namespace

void RefuseWhatIsNotBuilt(const std::vector<PlanFeatureUse>& uses) {
  for (const PlanFeatureUse& use : uses) {
    for (const NotBuilt& entry : kNotBuilt) {
      if (entry.feature == use.feature) use.at.Fail(entry.sentence, entry.hint, ErrorCode::kNotBuiltYet);
    }
  }
}

}  // namespace truepull
