// SPDX-License-Identifier: Apache-2.0
#include "guide/words.h"

#include <fmt/format.h>

namespace truepull {
namespace {

constexpr int kMostListed = 40;  // Site labels in one sentence; a page has room for that.

const char* Word(SheetState state) {
  switch (state) {
    case SheetState::kDry: return "dry";
    case SheetState::kDamp: return "damp";
    default: return "in an unknown state";
  }
}

const char* Upper(SheetState state) { return state == SheetState::kDamp ? "DAMP" : "DRY"; }

void SayState(const Plan& plan, const GuideRequest& request, GuideWords& words) {
  const PullState& s = request.state;
  const std::string size = fmt::format("{:.1f} x {:.1f} mm", s.width_mm, s.height_mm);
  if (request.first_pass) {
    words.state = "FIRST PASS, AS PLANNED";
    words.state_detail = {fmt::format("They hold when the sheet measures {} as you pull. "
                                      "Measure it.", size)};
    return;
  }
  if (!s.known) {
    words.state = "NOT CORRECTED FOR DAMPNESS";
    words.state_detail = {
        s.why_not_known,
        fmt::format("Before you pull, measure the sheet's width and height: this guide holds "
                    "when they are {}. If one is off by more than 0.5 mm, make the guide again "
                    "with --pull dry or --pull damp, the plan's stretch and grain, and "
                    "read --sheet.", size)};
    return;
  }
  words.state = fmt::format("FOR THE SHEET {}", Upper(s.pulled));
  if (s.photographed == s.pulled) {
    words.state_detail = {fmt::format("Photographed {0} and pulled {0}: as you pull, the sheet "
                                      "should measure {1}. Measure it.", Word(s.pulled), size)};
    return;
  }
  words.state_detail = {fmt::format(
      "Photographed {} at {:.1f} x {:.1f} mm; places are moved for {} by {:+.2f} % in width and "
      "{:+.2f} % in height, outlines keep the plate's size.",
      Word(s.photographed), plan.sheet.width_mm, plan.sheet.height_mm, Word(s.pulled),
      100 * s.stretch_x, 100 * s.stretch_y),
      fmt::format("As you pull, the sheet should measure {}, and pencil ticks that were 200 mm "
                  "apart {:.1f} mm in width and {:.1f} mm in height. If not, wait or damp again.",
                  size, 200 * (1 + s.stretch_x), 200 * (1 + s.stretch_y))};
}

// "Look (...): C2, D4." for each kind that occurs, then the printer's own reasons.
void SaySites(const std::vector<Placement>& placements, GuideWords& words) {
  const auto list = [&](Action action) {
    std::string out;
    int count = 0;
    for (const Placement& p : placements) {
      if (p.action != action) continue;
      if (++count <= kMostListed) out += (out.empty() ? "" : ", ") + SiteLabel(p.site);
    }
    if (count > kMostListed) {
      out += fmt::format(" and {} more (placements.csv lists all)", count - kMostListed);
    }
    return out;
  };
  if (const auto l = list(Action::kLook); !l.empty()) {
    words.sites.push_back("Look before you pull (where no impression was found, the place drawn "
                          "fits the neighbours): " + l + ".");
  }
  if (const auto l = list(Action::kStrengthen); !l.empty()) {
    words.sites.push_back("Strengthen the weak impression where it lies: " + l + ".");
  }
  if (const auto l = list(Action::kLeave); !l.empty()) {
    words.sites.push_back("Leave alone: " + l + ".");
  }
  for (const Placement& p : placements) {
    if (p.corrected && !p.reason.empty()) {
      words.sites.push_back(fmt::format("{}, the printer's word: {}", SiteLabel(p.site), p.reason));
    }
  }
  if (words.sites.empty()) words.sites.push_back("Every site is to be pulled.");
}

}  // namespace

GuideWords WordsFor(const Plan& plan, const std::vector<Placement>& placements,
                    const GuideRequest& request) {
  GuideWords words;
  words.title = plan.title.empty() ? "Guide" : plan.title;
  std::string pass = request.pass_name;
  if (pass.empty() && request.pass != nullptr) pass = request.pass->name;
  if (pass.empty()) pass = request.first_pass ? "first" : "next";
  words.pass = "pass: " + pass;
  if (!request.sheet_name.empty()) words.pass += "; sheet: " + request.sheet_name;
  if (!request.date.empty()) words.pass += "; " + request.date;
  if (request.mirror) {
    words.face = "MIRRORED:";
    words.face_detail = "for the plate's printing face or the back of the sheet";
  } else {
    words.face = "SEEN FROM THE PRINTED FACE";
    words.face_detail = "for under the sheet, a clear film over it, or the back of the plate";
  }
  SayState(plan, request, words);
  SaySites(placements, words);
  words.cautions = {
      "Cut away from the hand that holds; a sharp blade needs no force; cap it when you stop.",
      "Light table: in a clear sleeve, dry hands at the plug, no wet sheet on bare glass.",
      "Your school's or workshop's own safety rules come first.",
  };
  return words;
}

}  // namespace truepull
