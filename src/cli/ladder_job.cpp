// SPDX-License-Identifier: Apache-2.0
// `next --stretch-ladder`: the guide in lettered steps of dampness, and the ladder that tells which
// letter to take; for a bench without a computer.
#include <fmt/format.h>

#include "cli/next_job.h"
#include "truepull/draw.h"

namespace truepull {
namespace {

constexpr int kSteps = 7;                // A to G: 0 to 3 % across the grain, ...
constexpr double kStep = 0.005;          // ... which no printing paper exceeds by much.
constexpr double kTicksMm = 200;
// Along the grain paper grows by about a tenth of what it grows across, unless the plan knows better.
constexpr double kAlongShare = 0.1;

Mark Stroke(Point from, Point to, double width) {
  PathMark path;
  path.points = {from, to};
  path.width_mm = width;
  return {MarkRole::kBar, "", path};
}

Mark Label(std::string text, Point at, double cap, Anchor anchor, bool bold = false) {
  TextMark mark;
  mark.text = std::move(text);
  mark.at = at;
  mark.cap_mm = cap;
  mark.anchor = anchor;
  mark.bold = bold;
  return {MarkRole::kWords, "", mark};
}

char Letter(int k) { return static_cast<char>('A' + k); }

// A strip to cut out: a line for the one tick, lettered lines a half per cent apart for the other.
GuidePage LadderPage() {
  GuidePage page;
  page.width_mm = 297, page.height_mm = 210;
  const double left = 40, top = 60;
  auto& m = page.marks;
  m.push_back(Label("Which letter today?", {left, 25}, 5, Anchor::kStart, true));
  m.push_back(Label("Before damping, in the state of the photo, draw two fine ticks on the sheet 200 mm apart ACROSS THE GRAIN.", {left, 35}, 3, Anchor::kStart));
  m.push_back(Label("As you pull, lay this edge along them, the long line on the one tick: the letter nearest the other tick names the guide.", {left, 41}, 3, Anchor::kStart));
  m.push_back(Label("Print at 100 %, no fitting: from the long line to A must be 200 mm. Lay the guide by the marks at the middles of its sides.", {left, 47}, 3, Anchor::kStart));
  m.push_back(Stroke({left - 10, top}, {left + kTicksMm * (1 + kStep * kSteps) + 5, top}, 0.25));
  m.push_back(Stroke({left, top}, {left, top + 24}, 0.25));
  m.push_back(Label("here", {left - 2, top + 20}, 3, Anchor::kEnd));
  for (int k = 0; k < kSteps; ++k) {
    // Lines stand 1 mm apart: letters go on three levels.
    const double x = left + kTicksMm * (1 + kStep * k), down = 8 + 6.0 * (k % 3);
    m.push_back(Stroke({x, top}, {x, top + down}, 0.18));
    m.push_back(Label(std::string(1, Letter(k)), {x, top + down + 4}, 3, Anchor::kMiddle, true));
  }
  double y = top + 45;
  for (int k = 0; k < kSteps; ++k, y += 6) {
    m.push_back(Label(fmt::format("{}   {:.1f} mm   {:.1f} % across the grain   guide-{}.pdf", Letter(k), kTicksMm * (1 + kStep * k), 100 * kStep * k, Letter(k)),
                      {left, y}, 3, Anchor::kStart));
  }
  m.push_back(Label("What the guide says of moves from the impression (thin broken line to full line) holds at any dampness.", {left, y + 4}, 3, Anchor::kStart));
  return page;
}

}  // namespace

Result<JobFiles> MakeLadder(const NextOptions& options, const Reading& reading, const std::vector<Correction>& corrections,
                            NextPassRequest wanted, GuideRequest request) {
  JobFiles out;
  if (!options.stretch_ladder) return out;
  const Plan& plan = reading.plan;
  if (plan.sheet.grain == Grain::kUnknown) {
    return Error{ErrorCode::kBadArgument, "--stretch-ladder: the plan does not say which way the grain runs",
                 "tear a scrap: it tears straight along the grain; then write sheet.grain: x or y"};
  }
  double share = kAlongShare;
  if (plan.sheet.stretch_along_percent && plan.sheet.stretch_across_percent && *plan.sheet.stretch_across_percent > 0) {
    share = *plan.sheet.stretch_along_percent / *plan.sheet.stretch_across_percent;
  }
  const std::string pass = request.pass_name.empty() && request.pass != nullptr ? request.pass->name : request.pass_name;
  for (int k = 0; k < kSteps; ++k) {
    PullState& s = request.state;
    const double across = kStep * k, along = share * across;
    s.stretch_x = plan.sheet.grain == Grain::kX ? along : across;
    s.stretch_y = plan.sheet.grain == Grain::kX ? across : along;
    s.width_mm = plan.sheet.width_mm * (1 + s.stretch_x);
    s.height_mm = plan.sheet.height_mm * (1 + s.stretch_y);
    s.known = s.measured = true;
    s.why_not_known.clear();
    wanted.state = s;
    request.pass_name = fmt::format("{}, LETTER {} ({:.1f} % across the grain)", pass.empty() ? "next" : pass, Letter(k), 100 * across);
    request.first_impressions.clear();
    for (const SiteReading& site : reading.sheet.sites) {
      if (site.state == SiteState::kMissing) request.first_impressions.emplace_back();
      else request.first_impressions.push_back(PoseAtThePull(OutlineAt(plan, site.site), site.found, s));
    }
    const Guide guide = BuildGuide(plan, PlanNextPass(reading, corrections, wanted).placements, request);
    const auto pdf = DrawPdf(LayOutPages(guide, options.guide->print.paper), plan.title.empty() ? "truepull guide" : plan.title);
    if (!pdf) return pdf.error();
    out.files.emplace_back(fmt::format("guide-{}.pdf", Letter(k)), *pdf);
  }
  const auto ladder = DrawPdf({LadderPage()}, "stretch ladder");
  if (!ladder) return ladder.error();
  out.files.emplace_back("ladder.pdf", *ladder);
  out.lines.push_back(fmt::format("guides A to {} for 0 to {:.1f} % across the grain; ladder.pdf tells which to take", Letter(kSteps - 1), 100 * kStep * (kSteps - 1)));
  return out;
}

}  // namespace truepull
