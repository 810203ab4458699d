// SPDX-License-Identifier: Apache-2.0
// How long a guide takes: marks, pages, PDF, SVG, for sheets of 50 to 400 touching sites.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <ctime>

#include "support/guides.h"
#include "truepull/draw.h"

namespace {

using namespace truepull;
using namespace truepull::testing;

// Of one core: a busy machine makes the wall clock tell nothing.
double Ms(std::clock_t from) { return 1000.0 * static_cast<double>(std::clock() - from) / CLOCKS_PER_SEC; }

}  // namespace

int main() {
  fmt::print("| sites | use | marks ms | pages ms | PDF ms | SVG ms | all ms |\n|---|---|---|---|---|---|---|\n");
  for (const int rows : {5, 10, 20}) {
    const int columns = 20 / (rows == 5 ? 2 : 1);
    Plan plan = RectanglePlan(rows, columns);
    plan.plates[0].outline = {{-9, -9}, {9, -9}, {9, 9}, {-9, 9}};
    plan.lattice.origin = {35, 30};
    plan.lattice.across = {18, 0};
    plan.lattice.down = {0, 18};
    plan.sheet.height_mm = rows * 18 + 60;
    const auto placements = ScatteredPlacements(plan, 0.6, 0.01);
    for (const auto& [name, use] : {std::pair{"general", GuideUse::kGeneral}, {"under", GuideUse::kUnder}, {"over", GuideUse::kOver}, {"back", GuideUse::kBack}, {"mask", GuideUse::kMask}}) {
      GuideRequest request;
      request.use = use;
      request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
      for (std::size_t i = 0; i < placements.size(); ++i) {
        request.first_impressions.emplace_back(placements[i].place);
        request.pull_numbers.push_back(static_cast<int>(i) + 1);
      }
      double best[5] = {1e9, 1e9, 1e9, 1e9, 1e9};
      for (int run = 0; run < 5; ++run) {
        const std::clock_t start = std::clock();
        const auto parts = BuildGuideParts(plan, placements, request);
        const double marks = Ms(start);
        const auto pages = LayOutPages(parts, Paper::kA3);
        const double laid = Ms(start);
        if (!DrawPdf(pages, "bench")) return 1;
        const double pdf = Ms(start);
        const std::string svg = DrawSvg(LayOutWholeSheet(parts[0]), "bench");
        const double all = Ms(start);
        const double now[5] = {marks, laid - marks, pdf - laid, all - pdf, all};
        for (int k = 0; k < 5; ++k) best[k] = std::min(best[k], now[k]);
      }
      fmt::print("| {} | {} | {:.0f} | {:.0f} | {:.0f} | {:.0f} | {:.0f} |\n", placements.size(), name, best[0], best[1], best[2],
                 best[3], best[4]);
    }
  }
}
