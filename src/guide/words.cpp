// SPDX-License-Identifier: Apache-2.0
#include "guide/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "guide/symmetry.h"
#include "truepull/drift.h"

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

// The ten-second check at the bench. 0.6 mm of 200 are the 0.3 % that a print may be off.
std::string TicksNow(const Plan& plan, const PullState& s) {
  return fmt::format("Pencil ticks that were 200 mm apart in the photo should measure {:.1f} mm in width and {:.1f} mm in height as you "
                     "pull, to within 0.6 mm; if not, the sheet is damper or drier than this guide.",
                     200 * s.width_mm / plan.sheet.width_mm, 200 * s.height_mm / plan.sheet.height_mm);
}

void SayState(const Plan& plan, const GuideRequest& request, GuideWords& words) {
  const PullState& s = request.state;
  const std::string size = fmt::format("{:.1f} x {:.1f} mm", s.width_mm, s.height_mm);
  if (request.first_pass) {
    words.state = "FIRST PASS, AS PLANNED";
    words.state_detail = {fmt::format("They hold when the sheet measures {} as you pull. "
                                      "Measure it.", size),
                          "For later passes draw two ticks 200 mm apart in width and two in height before you photograph."};
    return;
  }
  if (!s.known) {
    words.state = "NOT CORRECTED FOR DAMPNESS";
    words.state_detail = {
        s.why_not_known,
        fmt::format("Before you pull, measure the sheet's width and height: this guide holds "
                    "when they are {}. If one is off by more than 0.5 mm, make the guide again "
                    "with --pull dry or --pull damp, the plan's stretch and grain, and "
                    "read --sheet.", size),
        TicksNow(plan, s)};
    return;
  }
  if (s.measured) {
    words.state = s.pulled == SheetState::kUnknown ? "FOR THE SHEET AS MEASURED" : fmt::format("FOR THE SHEET {}, AS MEASURED", Upper(s.pulled));
    words.state_detail = {fmt::format("By its own ticks the sheet has changed since the photo by {:+.2f} % in width and {:+.2f} % in "
                                      "height: as you pull, it should measure {}. Measure it again.",
                                      100 * s.stretch_x, 100 * s.stretch_y, size),
                          TicksNow(plan, s)};
    return;
  }
  words.state = fmt::format("FOR THE SHEET {}", Upper(s.pulled));
  if (s.photographed == s.pulled) {
    words.state_detail = {fmt::format("Photographed {0} and pulled {0}: as you pull, the sheet "
                                      "should measure {1}. Measure it.", Word(s.pulled), size),
                          TicksNow(plan, s)};
    return;
  }
  words.state_detail = {fmt::format(
      "Photographed {} at {:.1f} x {:.1f} mm; places are moved for {} by {:+.2f} % in width and "
      "{:+.2f} % in height, outlines keep the plate's size.",
      Word(s.photographed), plan.sheet.width_mm, plan.sheet.height_mm, Word(s.pulled),
      100 * s.stretch_x, 100 * s.stretch_y),
      fmt::format("As you pull, the sheet should measure {}.", size), TicksNow(plan, s)};
}

// "Look (...): C2, D4." for each kind that occurs, then the printer's own reasons.
void SaySites(const std::vector<Placement>& placements, bool finish, GuideWords& words) {
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
    words.sites.push_back((finish ? "Printed already, leave alone: " : "Leave alone: ") + l + ".");
  }
  if (finish && !list(Action::kPull).empty()) {
    words.sites.push_back("Not yet printed, to be pulled where it is drawn: " + list(Action::kPull) + ".");
  }
  for (const Placement& p : placements) {
    if (p.corrected && !p.reason.empty()) {
      words.sites.push_back(fmt::format("{}, the printer's word: {}", SiteLabel(p.site), p.reason));
    }
  }
  if (words.sites.empty()) words.sites.push_back("Every site is to be pulled.");
}

// Which seams stay open or overlap even if every plate goes exactly where it is drawn.
void SaySeams(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request,
              GuideWords& words) {
  const bool own_outline = request.pass == nullptr || request.pass->outline.empty();
  if (!own_outline || request.first_pass || placements.size() != AllSites(plan.lattice).size()) return;
  std::vector<std::optional<Pose>> poses;
  for (const Placement& p : placements) poses.emplace_back(p.place);
  std::vector<Seam> seams = MeasureSeams(plan, poses);
  if (seams.empty()) return;
  std::stable_sort(seams.begin(), seams.end(),
                   [](const Seam& a, const Seam& b) { return std::abs(a.mean_gap_mm) > std::abs(b.mean_gap_mm); });
  constexpr double kNamedMm = 0.5;
  constexpr std::size_t kMostNamed = 12;
  std::string gaps, overlaps;
  std::size_t more = 0, named = 0;
  for (const Seam& s : seams) {
    if (std::abs(s.mean_gap_mm - s.ideal_gap_mm) < kNamedMm) continue;
    if (named >= kMostNamed) {
      ++more;
      continue;
    }
    ++named;
    std::string& list = s.mean_gap_mm > 0 ? gaps : overlaps;
    list += fmt::format("{}{}-{} {:.1f}", list.empty() ? "" : ", ", SiteLabel(s.a), SiteLabel(s.b), std::abs(s.mean_gap_mm));
  }
  if (named == 0) {
    words.seams.push_back("No seam stays open or overlaps by 0.5 mm or more on average if every plate goes exactly where it is drawn.");
    return;
  }
  words.seams.push_back("Even if every plate goes exactly where it is drawn, on average over the seam (mm):");
  if (!gaps.empty()) words.seams.push_back("gaps: " + gaps + ".");
  if (!overlaps.empty()) words.seams.push_back("overlaps: " + overlaps + ".");
  if (more > 0) words.seams.push_back(fmt::format("{} more of 0.5 mm and over.", more));
}

// Plates that fit their outline the wrong way round as well: each outline once.
void SayPlates(const Plan& plan, const std::vector<Placement>& placements, const GuideRequest& request, GuideWords& words) {
  std::vector<Outline> seen;
  for (const Placement& p : placements) {
    const Outline outline = PlateOutlineAt(plan, request.pass, p.site);
    if (std::find(seen.begin(), seen.end(), outline) != seen.end()) continue;
    seen.push_back(outline);
    const bool one = plan.plates.size() == 1 || (request.pass != nullptr && !request.pass->outline.empty());
    const auto said = SymmetryWords(SymmetryOf(outline), one ? "The plate" : "Plate " + PlateAt(plan, p.site).name);
    for (const std::string& sentence : said) {
      // A mirrored plate has the symmetry of its twin.
      if (std::find(words.plates.begin(), words.plates.end(), sentence) == words.plates.end()) words.plates.push_back(sentence);
    }
  }
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
  // "pass: dark (2: dark blue)": the colour in words, for nothing hangs on seeing it.
  if (request.pass_number > 0 && !request.colour_word.empty()) {
    words.pass += fmt::format(" ({}: {})", request.pass_number, request.colour_word);
  } else if (!request.colour_word.empty()) {
    words.pass += " (" + request.colour_word + ")";
  }
  if (!request.sheet_name.empty()) words.pass += "; sheet: " + request.sheet_name;
  if (!request.date.empty()) words.pass += "; " + request.date;
  const UseLook& use = UseLookOf(request.use);
  const bool general = request.use == GuideUse::kGeneral;
  if (general ? request.mirror : use.mirrored) {
    words.face = "MIRRORED:";
    words.face_detail = "for the plate's printing face or the back of the sheet";
  } else {
    words.face = "SEEN FROM THE PRINTED FACE";
    words.face_detail = use.belongs;
  }
  words.use = use.heading;
  words.steps = StepsOf(request.use);
  SayState(plan, request, words);
  if (plan.lattice.fit_origin) {
    words.state_detail.push_back("Ideal places are those of the lattice that fits the first print best; none was planned.");
  }
  SaySites(placements, request.finish, words);
  SaySeams(plan, placements, request, words);
  SayPlates(plan, placements, request, words);
  if (!request.printer_note.empty()) words.card.push_back(request.printer_note);
  if (request.use == GuideUse::kMask) {
    words.cautions = {
        "Cut on a mat, away from the body and from the hand that holds; a sharp blade needs no force.",
        "Cap the blade when you stop; count blades out and in.",
        "Your school's or workshop's own safety rules come first.",
    };
    return words;
  }
  words.cautions = {
      "Cut away from the hand that holds; a sharp blade needs no force; cap it when you stop.",
      "Light table: in a clear sleeve, dry hands at the plug, no wet sheet on bare glass.",
      "Your school's or workshop's own safety rules come first.",
  };
  return words;
}

}  // namespace truepull
