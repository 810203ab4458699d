// SPDX-License-Identifier: Apache-2.0
// The cutting template of a plate: pages at true size, and the pattern as a picture.
#ifndef TRUEPULL_TEMPLATE_PAGES_H_
#define TRUEPULL_TEMPLATE_PAGES_H_

#include <string>
#include <vector>

#include "truepull/guide.h"
#include "truepull/lattice.h"
#include "truepull/tiling.h"

namespace truepull {

struct TemplateRequest {
  std::string title;
  Outline outline;                 // As it prints, about its reference point, mm.
  std::vector<WeakPlace> weak_places;
  bool repeats = false;
  LatticeSteps steps;              // The two below hold when it repeats.
  std::vector<CellMember> cell{CellMember{}};
  std::vector<Point> faults;       // Places that do not fit, to be ringed.
};

/// Three pages, each as large as it needs to be and 210 mm wide at least:
/// the outline as it prints; the same mirrored, for the plate's drawing face (x -> -x about
/// the reference point), which says so; and a patch of tiles fitted together, smaller where
/// they need it (it says how much). The first two carry two register ticks, a mark at the
/// top, an R that reads right only where the page is meant to be read, a 100 mm check bar
/// both ways and the cautions. The last is left out where the tile does not repeat.
std::vector<GuidePage> LayOutTemplate(const TemplateRequest& request);

}  // namespace truepull

#endif  // TRUEPULL_TEMPLATE_PAGES_H_
