// SPDX-License-Identifier: Apache-2.0
// Where every pull of the imagined sheet truly lies, and in which state it is.
#ifndef TRUEPULL_RENDER_TRUE_POSES_H_
#define TRUEPULL_RENDER_TRUE_POSES_H_

#include <array>
#include <vector>

#include "truepull/plan.h"
#include "truepull/render.h"

namespace truepull::render {

struct TruePull {
  Site site;
  Pose pose;
  bool printed = true;
  bool ghost = false;
  bool weak = false;
  bool mirrored = false;  // Beyond what the plan's cell says.
  int colour = -1;        // Index into the plan's colours.
};

/// I + E in sheet axes, row-major: the growth of the paper.
std::array<double, 4> SheetGrowth(const Plan& plan, const SheetFaults& faults);

/// Every site of the plan, in order. Each site draws its own chance, so that a site's
/// place does not depend on how many others there are.
std::vector<TruePull> PlacePulls(const Plan& plan, const RenderOptions& options);

/// The pulls beyond the plan's sites.
std::vector<TruePull> PlaceExtraPulls(const Plan& plan, const RenderOptions& options);

/// The plate as it was really cut, tile frame.
Outline TruePlate(const Outline& planned, const RenderOptions& options);

}  // namespace truepull::render

#endif  // TRUEPULL_RENDER_TRUE_POSES_H_
