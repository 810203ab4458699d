// SPDX-License-Identifier: Apache-2.0
#include "truepull/colour_regions.h"

namespace truepull {

const char* NameOf(RegionKind kind) {
  switch (kind) {
    case RegionKind::kBody: return "body";
    case RegionKind::kEdge: return "edge";
    case RegionKind::kOther: return "other";
    case RegionKind::kBare: return "bare";
    case RegionKind::kDrawing: return "drawing";
  }
  return "";
}

const char* NameOf(Charge charge) {
  switch (charge) {
    case Charge::kFull: return "full";
    case Charge::kGhost: return "ghost";
    case Charge::kWeak: return "weak";
  }
  return "";
}

}  // namespace truepull
