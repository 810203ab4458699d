// SPDX-License-Identifier: Apache-2.0
// One page for each person: about the work, never about the person; no comparison.
#include <fmt/format.h>

#include <algorithm>

#include "drift/magnification.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"
#include "pages/review_parts.h"
#include "truepull/review_pages.h"

namespace truepull {
namespace {

const std::string& PersonOf(const EditionSheet& s) { return s.whose.empty() ? s.code : s.whose; }

// The sheet that the page speaks of: the person's latest that can be judged.
std::size_t LatestOf(const EditionReview& review, const std::string& person) {
  std::size_t latest = review.sheets.size();
  for (std::size_t i = 0; i < review.sheets.size(); ++i) {
    if (PersonOf(review.sheets[i]) != person) continue;
    if (latest == review.sheets.size() || !review.reviews[i].photo.too_poor) latest = i;
  }
  return latest;
}

// The first habit that is the printer's own to change; a plate or paper may be said too.
const Habit* HabitFor(const SheetReview& r) { return r.habits.empty() ? nullptr : &r.habits[0]; }

std::string Person(const EditionReview& review, const std::string& person, const char* heading) {
  const std::size_t i = LatestOf(review, person);
  const EditionSheet& s = review.sheets[i];
  const SheetReview& r = review.reviews[i];
  std::string out = fmt::format("<section class=\"person\"><{0} class=\"who\">{1}</{0}>\n<p class=\"soft\">{2}, sheet {3}{4}</p>\n", heading, EscapeHtml(person),
                                EscapeHtml(review.settings.title.empty() ? "Your print" : review.settings.title), EscapeHtml(s.code),
                                s.pass == "first" ? "" : ", pass " + EscapeHtml(s.pass));
  if (r.drift.sheet_part) {
    const int magnification = Magnification(s.reading.plan, r.drift, false);
    out += fmt::format("<figure>{}<figcaption>Arrows: from where each tile was meant to lie to where it lies, drawn {} times as large.</figcaption></figure>\n",
                       SheetMapSvg(review, i, magnification, false), magnification);
  }
  const Habit* habit = HabitFor(r);
  std::string seen, todo;
  if (r.photo.too_poor) {
    seen = "the photo is too poor to see how the tiles lie";
    todo = "take the photo again: the whole sheet flat, even light, phone level above the middle";
  } else if (review.settings.free_register) {
    seen = "register is free on purpose here, so nothing is said about places";
    todo = "say in a sentence what you wanted the eye to do";
  } else if (habit == nullptr) {
    seen = "nothing stands out beyond chance";
    todo = "keep to the way you work; look at the seams with a friend and choose one to close further";
  } else {
    seen = habit->finding;
    todo = habit->advice;
  }
  out += "<h3>What the sheet shows</h3>\n<p class=\"big\">" + PageSentence(seen) + "</p>\n";
  if (habit != nullptr && (habit->cause == Cause::kPlate || habit->cause == Cause::kBlock || habit->cause == Cause::kPaper)) {
    out += "<p>" + PageSentence("this is not your placing") + "</p>\n";
  }
  out += "<h3>One thing to do next time</h3>\n<p class=\"big\">" + PageSentence(todo) + "</p>\n";
  for (const Likeness& l : review.likeness) {
    if (l.sheet != i) continue;
    out += "<h3>Beside the approved proof</h3>\n<p>" + PageSentence(l.apart.empty() ? "nothing sets it apart from the proof" : l.apart) + "</p>\n";
  }
  if (!r.better.empty()) out += "<h3>What is good</h3>\n<p class=\"big\">" + PageSentence(r.better) + "</p>\n";
  return out + "</section>\n";
}

}  // namespace

std::vector<std::string> PeopleOf(const EditionReview& review) {
  std::vector<std::string> people;
  for (const EditionSheet& s : review.sheets) {
    if (std::find(people.begin(), people.end(), PersonOf(s)) == people.end()) people.push_back(PersonOf(s));
  }
  std::sort(people.begin(), people.end());
  return people;
}

std::string StudentPages(const EditionReview& review, const std::string& only) {
  std::string page = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">"
      "<title>{0}</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>{1}{2}</style></head>\n<body><main>\n", only.empty() ? "One page each" : EscapeHtml(only), kPageStyle, kReviewStyle);
  if (only.empty()) {
    page += "<h1 class=\"noprint\">One page each</h1>\n<p class=\"soft noprint\">Print this: every person's page begins on a new sheet of paper. Give each only to whom it belongs.</p>\n";
  }
  for (const std::string& person : PeopleOf(review)) {
    if (only.empty() || only == person) page += Person(review, person, only.empty() ? "h2" : "h1");
  }
  return page + "</main></body></html>\n";
}

}  // namespace truepull
