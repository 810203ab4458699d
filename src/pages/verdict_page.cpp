// SPDX-License-Identifier: Apache-2.0
#include "truepull/verdict_page.h"

#include <fmt/format.h>

#include <algorithm>

#include "geometry/fixed_text.h"
#include "pages/html_text.h"
#include "pages/page_parts.h"

namespace truepull {
namespace {

constexpr const char* kStyle = R"css(
.tiles{display:grid;gap:14px;grid-template-columns:repeat(auto-fill,minmax(230px,1fr))}
.tiles article{background:var(--card);border:1px solid var(--line);border-left-width:8px;border-radius:8px;padding:8px 14px;break-inside:avoid}
.tiles h2{margin:.1em 0;font-size:1.1rem}
.tiles svg{display:block;width:100%;height:150px}
.tiles path{fill:var(--fill);stroke:var(--ink);stroke-width:1.2;vector-effect:non-scaling-stroke}
.tiles circle{fill:none;stroke:var(--out);stroke-width:2.4;vector-effect:non-scaling-stroke}
.tiles p{margin:.35em 0;font-size:.9rem;overflow-wrap:anywhere}
.tiles .not,.tiles .unusable{border-left-style:double;border-left-color:var(--out)}
.tiles .verdict{font-weight:700;font-size:1rem}
@media print{.tiles{grid-template-columns:repeat(3,1fr);gap:6px}.tiles svg{height:90px}}
)css";

std::string Drawn(const TileVerdict& v) {
  const Box box = BoundingBox(v.outline);
  const double round = 0.08 * std::max(box.Width(), box.Height());
  std::string d;
  for (const Point p : v.outline) d += fmt::format("{}{} {}", d.empty() ? "M" : "L", Fixed(p.x, 2), Fixed(p.y, 2));
  std::string rings;
  for (const Point p : v.ringed) rings += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\"/>", Fixed(p.x, 2), Fixed(p.y, 2), Fixed(0.7 * round, 2));
  return fmt::format("<svg viewBox=\"{} {} {} {}\" role=\"img\" aria-label=\"Outline of {}\"><path d=\"{}Z\"/>{}</svg>\n", Fixed(box.left - round, 2),
                     Fixed(box.top - round, 2), Fixed(box.Width() + 2 * round, 2), Fixed(box.Height() + 2 * round, 2), EscapeMarkup(v.code), d, rings);
}

std::string InWords(const TileVerdict& v) {
  switch (v.state) {
    case TileVerdict::State::kRepeats: return "repeats " + v.how;
    case TileVerdict::State::kClosed: return fmt::format("closed: repeats {}; cut {} mm off at worst", v.how, Fixed(v.worst_mm, 1));
    case TileVerdict::State::kNot: return v.worst.empty() ? "does not repeat" : fmt::format("does not repeat: {} mm off", Fixed(v.worst_mm, 1));
    case TileVerdict::State::kUnusable: break;
  }
  return "could not be used";
}

std::string Cell(const std::string& text) {
  if (text.find_first_of(",\"\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c == '\n' ? ' ' : c);
  return out + '"';
}

}  // namespace

const char* NameOf(TileVerdict::State state) {
  switch (state) {
    case TileVerdict::State::kRepeats: return "repeats";
    case TileVerdict::State::kClosed: return "closed";
    case TileVerdict::State::kNot: return "does not repeat";
    case TileVerdict::State::kUnusable: break;
  }
  return "unusable";
}

std::string VerdictPage(const std::vector<TileVerdict>& verdicts, const std::string& title) {
  const auto count = [&](TileVerdict::State s) { return std::count_if(verdicts.begin(), verdicts.end(), [s](const TileVerdict& v) { return v.state == s; }); };
  std::string page = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">"
      "<title>{0}</title>\n<style>{1}{2}</style></head>\n<body><main><h1>{0}</h1>\n",
      EscapeMarkup(title), kPageStyle, kStyle);
  page += fmt::format("<section class=\"card\" aria-label=\"Summary\"><p>{} tiles: {} repeat as they are, {} repeat once closed, {} do not repeat, {} could not be used.</p>"
                      "<p class=\"soft\">Each tile's template carries its code. A closed tile was cut a little off; its template shows the edge that repeats exactly. "
                      "Rings mark where an edge does not fit its partner, a neck too thin or a point too sharp. Sides are named as the tile prints.</p></section>\n",
                      verdicts.size(), count(TileVerdict::State::kRepeats), count(TileVerdict::State::kClosed), count(TileVerdict::State::kNot),
                      count(TileVerdict::State::kUnusable));
  page += "<section class=\"tiles\">\n";
  for (const TileVerdict& v : verdicts) {
    const char* kind = v.state == TileVerdict::State::kNot ? "not" : NameOf(v.state);
    page += fmt::format("<article class=\"{}\"><h2>{}</h2>\n", kind, EscapeMarkup(v.code));
    if (!v.outline.empty()) page += Drawn(v);
    page += "<p class=\"verdict\">" + EscapeMarkup(Capitalised(InWords(v))) + "</p>\n";
    if (!v.worst.empty()) page += "<p>" + EscapeMarkup(Capitalised(v.worst)) + ".</p>\n";
    for (const std::string& s : v.sentences) page += "<p>" + EscapeMarkup(Capitalised(s)) + ".</p>\n";
    page += "<p class=\"soft\">" + EscapeMarkup(v.from) + "</p></article>\n";
  }
  return page + "</section>\n<p class=\"soft\">Numbers are for the tile, not for who cut it: scissors wander by a tenth of a millimetre or two in any hand. The same is in verdicts.csv.</p>\n</main></body></html>\n";
}

std::string VerdictTable(const std::vector<TileVerdict>& verdicts) {
  std::string out = "code,from,state,how,worst_mm,worst\n";
  for (const TileVerdict& v : verdicts) {
    std::string worst = v.worst;
    if (v.state == TileVerdict::State::kUnusable && !v.sentences.empty()) worst = v.sentences[0];
    out += fmt::format("{},{},{},{},{},{}\n", Cell(v.code), Cell(v.from), NameOf(v.state), Cell(v.how), v.worst.empty() ? "" : Fixed(v.worst_mm, 3), Cell(worst));
  }
  return out;
}

}  // namespace truepull
