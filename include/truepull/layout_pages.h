// SPDX-License-Identifier: Apache-2.0
// A planned sheet as pages: a preview, and the pull order to hang up beside the bench.
#ifndef TRUEPULL_LAYOUT_PAGES_H_
#define TRUEPULL_LAYOUT_PAGES_H_

#include <string>
#include <vector>

#include "truepull/guide.h"
#include "truepull/plan.h"
#include "truepull/pull_order.h"

namespace truepull {

struct LayoutPagesRequest {
  const Plan* plan = nullptr;
  const PullOrder* order = nullptr;
  PullOrderRequest times;                 // What the order was made for.
  double margin_mm = 0;                   // Drawn broken; 0: not drawn.
  std::vector<std::string> colour_names;  // One for each of the plan's colours.
  std::vector<std::string> summary;       // Sentences below the preview.
};

/// The sheet with its tiles in their colours, each with its label and the number of its
/// pull, as large as an A4 page holds; a key of the colours and the summary below.
GuidePage LayOutPreview(const LayoutPagesRequest& request);

/// A4 upright: the sheet with the number of each pull, and below it what to do, step by
/// step: which colour on which plate, which sites, when to wash and to damp, where a lesson
/// ends. Long lists run on to further pages.
std::vector<GuidePage> LayOutPullOrder(const LayoutPagesRequest& request);

/// The steps of the order in words, one a line.
std::vector<std::string> PullOrderSteps(const LayoutPagesRequest& request);

}  // namespace truepull

#endif  // TRUEPULL_LAYOUT_PAGES_H_
