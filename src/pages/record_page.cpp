// SPDX-License-Identifier: Apache-2.0
// The edition's record: what the printer decided, and how the sheets were made.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "geometry/fixed_text.h"
#include "guide/make_marks.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"
#include "pages/review_parts.h"
#include "truepull/pages.h"
#include "truepull/review_pages.h"

namespace truepull {
namespace {

struct RecordRow {
  std::string code, number, decision, paper, passes, date, note;
};

// One row for each code; passes and dates of a sheet in one cell each.
std::vector<RecordRow> RowsOf(const EditionReview& review) {
  std::vector<RecordRow> rows;
  for (const EditionSheet& s : review.sheets) {
    auto row = std::find_if(rows.begin(), rows.end(), [&](const RecordRow& r) { return r.code == s.code; });
    if (row == rows.end()) row = rows.insert(rows.end(), RecordRow{s.code, "", "open", "", "", "", ""});
    const auto add = [](std::string& to, const std::string& more, const char* between) {
      if (!more.empty() && to.find(more) == std::string::npos) to += (to.empty() ? "" : between) + more;
    };
    add(row->passes, s.pass, ", "), add(row->date, s.date, ", "), add(row->note, s.note, "; ");
    add(row->number, s.number, ", "), add(row->paper, s.paper, ", ");
    if (s.decision != Decision::kOpen) row->decision = NameOf(s.decision);
  }
  return rows;
}

// Facts about all sheets: how many of each, the size, the colours, whether it varies.
std::vector<std::string> Facts(const EditionReview& review) {
  std::vector<std::string> facts;
  std::set<std::string> edition, proofs, rejects;
  std::vector<double> densities;
  bool apart = false;
  for (std::size_t i = 0; i < review.sheets.size(); ++i) {
    const EditionSheet& s = review.sheets[i];
    if (s.decision == Decision::kEdition) edition.insert(s.code);
    if (s.decision == Decision::kArtistsProof) proofs.insert(s.code);
    if (s.decision == Decision::kReject) rejects.insert(s.code);
    if (s.decision != Decision::kEdition) continue;
    if (review.reviews[i].density > 0) densities.push_back(review.reviews[i].density);
    apart = apart || (review.reviews[i].has_hand_sd && review.reviews[i].hand_sd_mm > review.settings.thresholds.good_mm);
  }
  facts.push_back(fmt::format("{} of the edition, {} artist's proof{}, {} reject{}, as the printer decided", edition.size(), proofs.size(), proofs.size() == 1 ? "" : "s",
                              rejects.size(), rejects.size() == 1 ? "" : "s"));
  if (!densities.empty()) {
    const auto [low, high] = std::minmax_element(densities.begin(), densities.end());
    apart = apart || *high - *low > 0.2;   // Twice what an eye sees side by side.
  }
  if (review.settings.free_register) apart = true;
  if (apart) facts.push_back("variable edition (E.V.): the sheets differ visibly in register or depth of colour");
  if (!review.sheets.empty()) {
    const Plan& plan = review.sheets[0].reading.plan;
    facts.push_back(fmt::format("sheet {:g} x {:g} mm, {} rows of {} pulls", plan.sheet.width_mm, plan.sheet.height_mm, plan.lattice.rows, FileColumns(plan.lattice)));
    std::vector<std::string> colours;
    for (const std::string& c : plan.colours) colours.push_back(ColourWords(c) + " (" + c + ")");
    for (const Pass& p : plan.passes) colours.push_back(fmt::format("{}{}", p.name, p.colour.empty() ? "" : ": " + ColourWords(p.colour) + " (" + p.colour + ")"));
    if (!colours.empty()) facts.push_back(fmt::format("colours: {}", fmt::join(colours, ", ")));
  }
  if (!review.settings.proof.empty()) facts.push_back("approved proof: " + review.settings.proof);
  return facts;
}

}  // namespace

std::string RecordPage(const EditionReview& review) {
  const std::string title = review.settings.title.empty() ? "Record of the edition" : review.settings.title + ": record";
  std::string page = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">"
      "<title>{0}</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>{1}{2}</style></head>\n<body><main><h1>{0}</h1>\n",
      EscapeHtml(title), kPageStyle, kReviewStyle);
  page += "<div class=\"card\">" + PageList(Facts(review)) + "</div>\n<h2 id=\"sheets\">Sheets</h2>\n<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-labelledby=\"sheets\"><table><thead><tr>";
  for (const char* head : {"code", "number", "decided", "paper", "passes", "date", "note"}) page += fmt::format("<th scope=\"col\">{}</th>", head);
  page += "</tr></thead><tbody>\n";
  for (const RecordRow& r : RowsOf(review)) {
    page += fmt::format("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td class=\"words\">{}</td></tr>\n", EscapeHtml(r.code), EscapeHtml(r.number),
                        EscapeHtml(r.decision), EscapeHtml(r.paper), EscapeHtml(r.passes), EscapeHtml(r.date), EscapeHtml(r.note));
  }
  return page + "</tbody></table></div>\n</main></body></html>\n";
}

std::vector<GuidePage> RecordPages(const EditionReview& review) {
  constexpr double kWidth = 210, kHeight = 297, kLeft = 18, kRow = 6;
  constexpr double kColumns[] = {18, 42, 68, 100, 126, 152, 176};
  const std::string title = review.settings.title.empty() ? "Record of the edition" : review.settings.title + ": record of the edition";
  std::vector<GuidePage> pages;
  double y = kHeight;
  const auto need = [&](double room) {
    if (y + room < kHeight - 16) return;
    GuidePage page;
    page.width_mm = kWidth, page.height_mm = kHeight, page.window = {0, 0, kWidth, kHeight};
    page.marks.push_back(Words(title, {kLeft, 24}, FittingCap(title, kWidth - 2 * kLeft, 5, 2.4, true), Anchor::kStart, true));
    pages.push_back(std::move(page));
    y = 36;
  };
  need(20);
  for (const std::string& fact : Facts(review)) {
    for (const std::string& line : Wrap(Capitalised(fact) + ".", kWidth - 2 * kLeft, 2.4)) {
      need(kRow);
      pages.back().marks.push_back(Words(line, {kLeft, y}, 2.4));
      y += kRow - 1;
    }
    y += 1.5;
  }
  y += 4;
  const auto row = [&](const RecordRow& r, bool bold) {
    // A note that does not fit its column has lines of its own beneath the row.
    const std::vector<std::string> note = Wrap(r.note, kWidth - kColumns[1] - kLeft, 2.1);
    const bool beneath = Wrap(r.note, kWidth - kLeft - kColumns[6], 2.1).size() > 1;
    const std::string none;
    need(kRow * (1 + (beneath ? static_cast<double>(note.size()) : 0)));
    const std::string* cells[] = {&r.code, &r.number, &r.decision, &r.paper, &r.passes, &r.date, beneath ? &none : &r.note};
    for (std::size_t c = 0; c < 7; ++c) {
      const double width = (c + 1 < 7 ? kColumns[c + 1] : kWidth - kLeft + 2) - kColumns[c] - 2;
      if (!cells[c]->empty()) pages.back().marks.push_back(Words(*cells[c], {kColumns[c], y}, FittingCap(*cells[c], width, 2.1, 0.9, bold), Anchor::kStart, bold));
    }
    for (std::size_t k = 0; beneath && k < note.size(); ++k) {
      y += kRow - 1.5;
      pages.back().marks.push_back(Words(note[k], {kColumns[1], y}, 2.1));
    }
    pages.back().marks.push_back(Line(MarkRole::kMap, {{kLeft, y + 2}, {kWidth - kLeft, y + 2}}, {Ink::kGrey, bold ? 0.4 : 0.15, Dash::kFull}));
    y += kRow;
  };
  row({"code", "number", "decided", "paper", "passes", "date", "note"}, true);
  for (const RecordRow& r : RowsOf(review)) row(r, false);
  for (std::size_t k = 0; k < pages.size(); ++k) {
    if (pages.size() > 1) pages[k].label = fmt::format("page {} of {}", k + 1, pages.size());
    pages[k].marks.push_back(Words(fmt::format("page {} of {}", k + 1, pages.size()), {kWidth - kLeft, kHeight - 10}, 2, Anchor::kEnd));
  }
  return pages;
}

}  // namespace truepull
