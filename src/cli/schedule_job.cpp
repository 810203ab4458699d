// SPDX-License-Identifier: Apache-2.0
// The order of pulling as a page beside the guide.
#include <fmt/format.h>

#include "cli/next_job.h"
#include "truepull/draw.h"
#include "truepull/layout_pages.h"
#include "truepull/pages.h"

namespace truepull {

Result<JobFiles> MakeSchedule(const NextOptions& options, const Plan& plan, const std::string& pass_name, bool first_colours,
                              std::vector<Placement>& placements) {
  PullOrderRequest times = options.times;
  if (options.damp_every_min > 0) times.damp_every_min = options.damp_every_min;
  if (options.lesson_min > 0) times.lesson_min = options.lesson_min;
  const auto order = NumberPulls(plan, placements, first_colours, times);
  if (!order) return order.error();
  JobFiles out;
  if (order->pulls.empty()) return out;
  Plan shown = plan;
  shown.title = (plan.title.empty() ? std::string("pass ") : plan.title + ", pass ") + pass_name;
  if (!first_colours) shown.colours.clear(), shown.colour_map.clear();
  LayoutPagesRequest request;
  request.plan = &shown;
  request.order = &*order;
  request.times = times;
  for (const std::string& c : shown.colours) request.colour_names.push_back(ColourWords(c));
  const auto pdf = DrawPdf(LayOutPullOrder(request), shown.title);
  if (!pdf) return pdf.error();
  out.files.emplace_back("pull-order.pdf", *pdf);
  out.lines.push_back(fmt::format("{} pulls, {:.0f} minutes{}{}", order->pulls.size(), order->minutes,
                                  order->dampings > 0 ? fmt::format(" with {} damping{} from the back", order->dampings, order->dampings == 1 ? "" : "s") : "",
                                  order->lessons > 1 ? fmt::format(", {} lessons", order->lessons) : ""));
  return out;
}

}  // namespace truepull
