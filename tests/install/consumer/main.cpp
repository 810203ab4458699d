// SPDX-License-Identifier: Apache-2.0
// Ten lines against the installed library: reads a plan and says where its last site is.
#include <cstdio>
#include <truepull/plan_text.h>

int main() {
  const auto parsed = truepull::ParsePlan(
      "{truepull: 1, sheet: {size: A3}, tile: {outline: [[0, 0], [60, 0], [60, 45], [0, 45]]},\n"
      " lattice: {origin: [30, 24], across: [60, 0], down: [0, 45], rows: 5, columns: 6}}", "plan.yaml");
  if (!parsed) return std::puts(parsed.error().message.c_str()), 1;
  const truepull::Pose last = truepull::IdealPose(parsed->plan.lattice, {4, 5});
  std::printf("%s at %.0f, %.0f mm\n", truepull::SiteLabel({4, 5}).c_str(), last.at.x, last.at.y);
}
