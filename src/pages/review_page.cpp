// SPDX-License-Identifier: Apache-2.0
#include "truepull/review_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "geometry/fixed_text.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"
#include "pages/review_parts.h"

namespace truepull {
namespace {

std::string Plural(std::size_t n, const char* one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); }

std::string Cell(const std::string& name, const std::string& classes, const std::string& value, const std::string& sort) {
  return fmt::format("<td data-name=\"{}\"{}{}>{}</td>", name, classes.empty() ? "" : " class=\"" + classes + "\"",
                     sort.empty() ? "" : " data-v=\"" + sort + "\"", value);
}

std::string SheetRow(const ReviewPageInput& in, std::size_t i) {
  const EditionReview& review = *in.review;
  const EditionSheet& s = review.sheets[i];
  const SheetReview& r = review.reviews[i];
  std::string row = fmt::format("<tr{}><th scope=\"row\">{}{}</th>", r.look.empty() ? "" : " class=\"looking\"", EscapeHtml(s.code),
                                s.pass == "first" ? "" : "<br><span class=\"files\">" + EscapeHtml(s.pass) + "</span>");
  row += "<td>";
  if (i < in.pictures.size() && !in.pictures[i].empty()) {
    row += fmt::format("<img alt=\"Sheet {}\" src=\"data:image/jpeg;base64,{}\">", EscapeHtml(s.code), Base64(in.pictures[i]));
  }
  row += "</td>";
  const int all = static_cast<int>(r.drift.sites.size()), there = r.drift.printed + r.drift.weak;
  row += Cell("printed", "", fmt::format("{} of {}{}", there, all, r.drift.weak > 0 ? fmt::format(", {} weak", r.drift.weak) : ""),
              std::to_string(r.drift.printed));
  const bool judged = r.has_hand_sd && !r.photo.too_poor;
  row += Cell("spread of the hand", "", judged ? fmt::format("{}&nbsp;mm<br><span class=\"files\">&plusmn;&nbsp;{}</span>", Fixed(r.hand_sd_mm, 2), Fixed(2 * r.sd_hand_sd_mm, 2)) : "not known",
              judged ? Fixed(r.hand_sd_mm, 4) : "");
  row += Cell("main habit", "words", PageSentence(r.main_habit), "");
  row += Cell("suspected cause", "", NameOf(r.cause), "");
  row += Cell("how sure", "", r.confidence.empty() ? "&ndash;" : EscapeHtml(r.confidence), "");
  std::string look;
  for (const std::string& reason : r.look) look += (look.empty() ? "<span class=\"lookhere\">&#9656; Look at this one:</span> " : " ") + PageSentence(reason);
  if (!r.beyond.empty()) look += (look.empty() ? "" : "<br>") + PageSentence(r.beyond);
  if (r.has_register) {
    look += (look.empty() ? "" : "<br>") + PageSentence(fmt::format("on the first pass it lies {} mm to the right and {} mm down, spread {} mm each way", FixedSigned(r.register_shift.x, 2),
                                                                    FixedSigned(r.register_shift.y, 2), Fixed(r.register_sd_mm, 2)));
  }
  row += Cell("to look at", "words", look.empty() ? "&ndash;" : look, std::to_string(100 * r.look.size() + (r.beyond.empty() ? 0 : 1)));
  return row + "</tr>\n";
}

std::string SheetTable(const ReviewPageInput& in) {
  std::string out =
      "<h2 id=\"sheets\">The sheets</h2>\n<p class=\"soft\">In the order of printing, which is no order of merit. A heading sorts the table.</p>\n"
      "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-labelledby=\"sheets\"><table class=\"sites cards\"><thead><tr><th scope=\"col\">code</th><th scope=\"col\">picture</th>"
      "<th scope=\"col\">printed</th><th scope=\"col\">spread of the hand</th><th scope=\"col\">main habit</th><th scope=\"col\">suspected cause</th>"
      "<th scope=\"col\">how sure</th><th scope=\"col\">to look at</th></tr></thead><tbody>\n";
  for (std::size_t i = 0; i < in.review->sheets.size(); ++i) out += SheetRow(in, i);
  return out + "</tbody></table></div>\n";
}

std::string NotUsedPart(const ReviewPageInput& in) {
  if (in.not_used.empty()) return "";
  std::string out = fmt::format("<h2>Photos that were not used</h2>\n<div class=\"card look\"><ul>");
  for (const NotUsed& n : in.not_used) out += fmt::format("<li><b>{}</b>: {}</li>\n", EscapeHtml(n.photo), PageSentence(n.reason));
  return out + "</ul></div>\n";
}

std::string Maps(const EditionReview& review) {
  const int m = CommonMagnification(review);
  std::string out = fmt::format("<h2>Drift of every sheet</h2>\n<p class=\"soft\">Found minus ideal, drawn {} on every sheet alike. Cross: nothing printed; ring: weak.</p>\n<div class=\"grid\">\n",
                                m == 1 ? "in its true size" : fmt::format("{} times as large as it is", m));
  for (std::size_t i = 0; i < review.sheets.size(); ++i) {
    out += fmt::format("<figure>{}<figcaption><b>{}</b> {}</figcaption></figure>\n", SheetMapSvg(review, i, m, false), EscapeHtml(review.sheets[i].code),
                       PageSentence(review.reviews[i].main_habit));
  }
  return out + "</div>\n";
}

std::string Plots(const EditionReview& review, const std::vector<RunSeries>& series) {
  std::string out, group;
  for (std::size_t k = 0; k < series.size(); ++k) {
    if (k == 0 || series[k].group != group) {
      group = series[k].group;
      out += (k > 0 ? "</div>\n" : "") + (group.empty() ? "" : "<h3>" + EscapeHtml(Capitalised(group)) + "</h3>\n") + "<div class=\"plots\">\n";
    }
    out += RunPlotSvg(review, series[k]);
  }
  return out + "</div>\n";
}

std::string Charts(const EditionReview& review) {
  if (review.series.empty()) return "";
  std::string out = "<h2>Along the run</h2>\n" + Plots(review, review.series);
  std::vector<std::string> words;
  for (const RunSeries& s : review.series) {
    for (const RunSignal& signal : s.signals) {
      words.push_back(fmt::format("{}{}: {}, up to sheet number {}", s.group.empty() ? "" : s.group + ": ", s.name, NameOf(signal.rule), s.orders.at(signal.at)));
    }
  }
  if (!words.empty()) out += "<div class=\"card\">" + PageList(words) + "</div>\n";
  out += "<p class=\"soft\">Full line: the middle; broken lines: three standard deviations of the usual change from sheet to sheet; diamonds: places where a run rule "
         "speaks (1 beyond the limits; 9 in a row on one side; 6 rising or falling; 2 of 3 beyond two standard deviations). About one dot in 370 lies beyond by chance "
         "alone, and each line has its own chance. ";
  out += review.steps_looked_for ? "Jumps are dated by the split that leaves the least scatter on its two sides." : "There are too few sheets to look for jumps: six of one paper are needed.";
  out += "</p>\n";
  if (review.ranges.empty()) return out;
  return out + "<details><summary>Charts of ranges, for those who know them</summary>\n" + Plots(review, review.ranges) +
         "<p class=\"soft\">Change from the sheet before: moving ranges, limit D4 times their mean. Mean and range over sites: limits A2, D3 and D4 times the mean range, "
         "by the published constants. The limits of a mean are those of a sheet laid exactly like the others, where only the tiles scatter: sheets that are laid by hand "
         "lie beyond them often, and that is no fault.</p></details>\n";
}

std::string Parts(const EditionReview& review) {
  std::string out;
  const std::string spread = SpreadPlotSvg(review), parts = ComponentsSvg(review);
  if (!spread.empty()) {
    out += "<h2>Spread of the hand, all sheets</h2>\n<figure class=\"narrow\">" + spread +
           "<figcaption>One dot for each sheet, without codes. What is left when the sheet's own shift, turn and stretch and the faults of plate and block are "
           "taken out. The two marks are common practice, no standard.</figcaption></figure>\n";
  }
  if (!parts.empty()) {
    out += "<h2>What the drift is made of</h2>\n<figure class=\"narrow\">" + parts +
           "<figcaption>Root mean square over all sites and sheets; the line through a bar's end: twice its standard uncertainty.</figcaption></figure>\n";
  }
  return out;
}

std::string Likenesses(const EditionReview& review) {
  if (review.likeness.empty()) return "";
  const EditionSettings& s = review.settings;
  std::string out = fmt::format(
      "<h2 id=\"proof\">Beside the approved proof ({})</h2>\n<p>Sheets in order of likeness to the proof. Rows with one number cannot be told apart. Weights: register {}, "
      "colour {}, coverage {}.{} What belongs to the edition is the printer's decision.</p>\n",
      EscapeHtml(s.proof), fmt::format("{:g}", s.free_register ? 0 : s.weight_register), fmt::format("{:g}", s.weight_colour), fmt::format("{:g}", s.weight_coverage),
      s.wanted > 0 ? fmt::format(" Wanted: {}.", s.wanted) : "");
  out += "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-labelledby=\"proof\"><table><thead><tr><th scope=\"col\">place</th><th scope=\"col\">code</th><th scope=\"col\">register (mm from the proof)</th>"
         "<th scope=\"col\">colour (CIEDE2000 from the proof)</th><th scope=\"col\">coverage</th><th scope=\"col\">what sets it apart</th><th scope=\"col\">decided</th></tr></thead><tbody>\n";
  for (std::size_t k = 0; k < review.likeness.size(); ++k) {
    const Likeness& l = review.likeness[k];
    const EditionSheet& sheet = review.sheets[l.sheet];
    const bool tie = (k > 0 && review.likeness[k - 1].tie == l.tie) || (k + 1 < review.likeness.size() && review.likeness[k + 1].tie == l.tie);
    out += fmt::format("<tr><td>{}{}</td><th scope=\"row\">{}</th><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"words\">{}</td><td>{}</td></tr>\n", l.tie,
                       tie ? " (tie)" : "", EscapeHtml(sheet.code), Fixed(l.register_mm, 2), Fixed(l.colour, 1), Fixed(l.coverage, 2), l.apart.empty() ? "&ndash;" : PageSentence(l.apart),
                       NameOf(sheet.decision));
  }
  return out + "</tbody></table></div>\n";
}

std::string Whole(const ReviewPageInput& in) {
  const EditionReview& review = *in.review;
  std::string out;
  if (review.settings.free_register) {
    out += "<div class=\"card\"><p>Register is free on purpose: places are measured and nothing is judged by them.</p></div>\n";
  }
  if (!review.findings.empty()) out += "<h2>For all sheets together</h2>\n<div class=\"card look\">" + PageList(review.findings) + "</div>\n";
  if (!review.common_habits.empty()) {
    out += "<h2>For the next demonstration</h2>\n<p class=\"soft\">What most sheets have in common, commonest first.</p>\n<div class=\"card\">" + PageList(review.common_habits) + "</div>\n";
  }
  if (!review.growths.empty()) {
    std::vector<std::string> words;
    for (const Growth& g : review.growths) {
      const auto much = [](double ratio) { return fmt::format("{} % {}", Fixed(100 * std::abs(ratio), 2), ratio < 0 ? "closer" : "further apart"); };
      std::string line = fmt::format("{}{}: on {}, tiles stand {} from side to side and {} from top to bottom", g.group.empty() ? "" : g.group + ": ", NameOf(g.cause),
                                     Plural(static_cast<std::size_t>(g.sheets), "sheet"), much(g.x), much(g.y));
      for (const std::string& e : g.evidence) line += "; " + e;
      words.push_back(line);
    }
    out += "<h2>Paper or creep</h2>\n<div class=\"card\">" + PageList(words) + "</div>\n";
  }
  return out;
}

std::string Fine(const ReviewPageInput& in) {
  const EditionReview& review = *in.review;
  const ReviewThresholds& t = review.settings.thresholds;
  std::string out = "<h2>How to read this</h2>\n<div class=\"card\"><ul>";
  const auto say = [&](const std::string& s) { out += "<li>" + PageSentence(s) + "</li>\n"; };
  say("numbers are for sheets, not for people: no mark and no order of people can be had from this page");
  say(fmt::format("{:g} mm is careful work by hand and {:g} mm good school work, by common practice; there is no standard. Both can be set in edition.yaml", t.fine_mm, t.good_mm));
  say(fmt::format("each check (shift, turn, growth, plate, block, jump) raises a false alarm on about {:g} faultless editions in 100; nothing under {:g} mm is named", 100 * t.level, t.least_mm));
  if (!review.blocks_looked_for) say("faults of a block, the same site on every sheet, need three sheets of one plan to be told");
  for (const PlateFault& f : review.plates) {
    if (!f.found && !f.told_apart && f.whose.empty()) {
      say("all tiles stand in one turn, so a plate that prints off its place cannot be told from a sheet laid off its place");
      break;
    }
  }
  for (const std::string& note : in.notes) say(note);
  return out + "</ul></div>\n";
}

}  // namespace

std::string ReviewPage(const ReviewPageInput& in) {
  const EditionReview& review = *in.review;
  const std::string title = review.settings.title.empty() ? "Review of the sheets" : review.settings.title;
  std::size_t look = 0;
  for (const SheetReview& r : review.reviews) look += r.look.empty() ? 0 : 1;
  std::string page = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">"
      "<title>{0}</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>{1}{2}</style></head>\n<body><main><h1>{0}</h1>\n",
      EscapeHtml(title), kPageStyle, kReviewStyle);
  page += fmt::format("<p class=\"count\">{} reviewed{}; {}.</p>\n", Plural(review.sheets.size(), "sheet"),
                      in.not_used.empty() ? "" : fmt::format(", {} not used", Plural(in.not_used.size(), "photo")),
                      look == 0 ? "none asks for a look" : fmt::format("{} worth a look of your own", look == 1 ? "one is" : fmt::format("{} are", look)));
  page += Whole(in);
  page += SheetTable(in);
  page += NotUsedPart(in);
  page += Likenesses(review);
  page += Parts(review);
  page += Charts(review);
  page += Maps(review);
  page += Fine(in);
  page += "<p class=\"soft\">All lengths are millimetres on the sheet as it was photographed. Every number is in review.csv and review.yaml beside this page. "
          "Nothing of where, when or with what a photo was taken is kept.</p>\n";
  return page + "</main>\n<script>" + kPageScript + "</script>\n</body></html>\n";
}

}  // namespace truepull
