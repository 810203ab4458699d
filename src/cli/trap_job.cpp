// SPDX-License-Identifier: Apache-2.0
// The trap: how wide, by whose spread, and the plates drawn with it.
#include <fmt/format.h>

#include "cli/next_job.h"
#include "truepull/draw.h"
#include "truepull/template_pages.h"
#include "truepull/trap.h"

namespace truepull {

Result<JobFiles> MakeTrap(const NextOptions& options, const Plan& plan, const Pass* pass, const DriftReport* drift) {
  JobFiles out;
  if (options.spread_mm <= 0 && options.closes <= 0) return out;
  double sd = options.spread_mm;
  int sites = 0;
  std::string whose = fmt::format("for a spread of {:g} mm, taken from --spread", sd);
  if (sd <= 0) {
    if (drift == nullptr || !drift->has_hand_sd) {
      return Error{ErrorCode::kBadArgument, "--closes: there are too few impressions to tell a spread from",
                   "say the spread of one placement yourself: --spread 0.5"};
    }
    sd = drift->hand_sd_mm;
    sites = drift->printed + drift->weak;
    whose = fmt::format("for this sheet's own spread of {:.2f} mm, from {} impressions (95 % sure)", sd, sites);
  }
  const double closes = options.closes > 0 ? options.closes : 0.95;
  const TrapWidth trap = TrapFor(sd, closes, sites);
  for (const double share : {0.95, 0.99}) {
    const TrapWidth t = TrapFor(sd, share, sites);
    out.lines.push_back(fmt::format("an overlap of {:.2f} mm closes {:.0f} % of the seams ({:.2f} x the spread), {}", t.width_mm,
                                    100 * share, t.factor, whose));
  }
  const double by = (options.choke ? -0.5 : 0.5) * trap.width_mm;
  out.lines.push_back(options.choke
      ? fmt::format("plates drawn {:.2f} mm smaller all round: neighbours leave {:.2f} mm for a line to cover", -by, trap.width_mm)
      : fmt::format("plates drawn {:.2f} mm larger all round: neighbours overlap by {:.2f} mm", by, trap.width_mm));
  for (std::size_t k = 0; k < plan.plates.size(); ++k) {
    const Plate& plate = plan.plates[k];
    const bool own = pass != nullptr && !pass->outline.empty();
    if (own && k > 0) break;  // The pass has one outline for all.
    const std::string name = own ? pass->name : plate.name;
    const Outline& outline = own ? pass->outline : plate.outline;
    auto trapped = TrappedOutline(outline, by);
    if (!trapped) {
      Error e = trapped.error();
      e.message = "plate " + name + ": " + e.message;
      return e;
    }
    TemplateRequest request;
    request.title = fmt::format("{}: {} {} by {:.2f} mm", plan.title.empty() ? "plate" : plan.title, name,
                                options.choke ? "choked" : "spread", std::abs(by));
    request.outline = *trapped;
    request.ticks_of = outline;
    const auto pages = LayOutTemplate(request);
    const auto pdf = DrawPdf(pages, request.title);
    if (!pdf) return pdf.error();
    out.files.emplace_back(fmt::format("trapped-{}.pdf", name), *pdf);
    out.files.emplace_back(fmt::format("trapped-{}.svg", name), DrawSvg(pages[0], request.title));
  }
  return out;
}

}  // namespace truepull
