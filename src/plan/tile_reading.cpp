// SPDX-License-Identifier: Apache-2.0
#include "truepull/tile_reading.h"

namespace truepull {

const char* NameOf(SiteState state) {
  switch (state) {
    case SiteState::kPrinted: return "printed";
    case SiteState::kWeak: return "weak";
    default: return "missing";
  }
}

}  // namespace truepull
