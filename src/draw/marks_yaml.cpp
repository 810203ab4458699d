// SPDX-License-Identifier: Apache-2.0
// Every mark of a guide as YAML, for machines that cut and for other programs.
#include <fmt/format.h>

#include <iterator>

#include "truepull/draw.h"

namespace truepull {
namespace {

// As in the SVG: ten-thousandths of a millimetre.
std::string Number(double v) {
  std::string s = fmt::format("{:.4f}", v);
  while (s.back() == '0') s.pop_back();
  if (s.back() == '.') s.pop_back();
  return s == "-0" ? "0" : s;
}

std::string Quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    if (static_cast<unsigned char>(c) < 0x20) {
      out += ' ';
      continue;
    }
    out += c;
  }
  return out + "\"";
}

const char* NameOf(Dash dash) {
  switch (dash) {
    case Dash::kLong: return "long";
    case Dash::kShort: return "short";
    case Dash::kDots: return "dots";
    default: return "full";
  }
}

void Append(const Mark& mark, Point off, std::string& out) {
  auto to = std::back_inserter(out);
  fmt::format_to(to, "  - {{role: {}", truepull::NameOf(mark.role));
  if (!mark.group.empty()) fmt::format_to(to, ", group: {}", mark.group);
  if (const auto* text = std::get_if<TextMark>(&mark.what)) {
    fmt::format_to(to, ", text: {}, at: [{}, {}], cap: {}", Quoted(text->text), Number(text->at.x - off.x),
                   Number(text->at.y - off.y), Number(text->cap_mm));
    if (text->anchor != Anchor::kStart) fmt::format_to(to, ", anchor: {}", text->anchor == Anchor::kMiddle ? "middle" : "end");
    if (text->quarter_turns != 0) fmt::format_to(to, ", turn: {}", 90 * text->quarter_turns);
    out += "}\n";
    return;
  }
  const auto& path = std::get<PathMark>(mark.what);
  fmt::format_to(to, ", {}", path.filled ? "filled: true" : path.closed ? "closed: true" : "closed: false");
  if (!path.filled) fmt::format_to(to, ", line: {}, dash: {}", Number(path.width_mm), NameOf(path.dash));
  if (mark.hidden) out += ", drawn: false";
  out += ", points: [";
  for (std::size_t i = 0; i < path.points.size(); ++i) {
    fmt::format_to(to, "{}[{}, {}]", i == 0 ? "" : ", ", Number(path.points[i].x - off.x), Number(path.points[i].y - off.y));
  }
  out += "]}\n";
}

}  // namespace

std::string WriteGuideYaml(const GuidePage& sheet, const Guide& guide, const std::vector<GuidePage>& pages,
                           const std::string& title) {
  std::string out = fmt::format(
      "truepull: 1\nkind: guide\ntitle: {}\nuse: {}\nface: {}\nunits: mm\nsheet: {{width: {}, height: {}}}\n", Quoted(title),
      *UseLookOf(guide.use).name == '\0' ? "general" : UseLookOf(guide.use).name, guide.mirrored ? "mirrored" : "printed",
      Number(guide.width_mm), Number(guide.height_mm));
  out += "# Where the sheet's top left corner lies on each page of guide.pdf, and the part shown (sheet mm);\n"
         "# `scale` is the printer's correction: a place at x mm of a page is drawn at x times scale.\npages:\n";
  for (std::size_t i = 0; i < pages.size(); ++i) {
    const GuidePage& p = pages[i];
    fmt::format_to(std::back_inserter(out),
                   "  - {{page: {}, label: {}, width: {}, height: {}, sheet_at: [{}, {}], window: [{}, {}, {}, {}], scale: [{}, {}]}}\n",
                   i + 1, Quoted(p.label), Number(p.width_mm), Number(p.height_mm), Number(p.sheet_at.x), Number(p.sheet_at.y),
                   Number(p.window.left), Number(p.window.top), Number(p.window.right), Number(p.window.bottom),
                   fmt::format("{:.6f}", p.scale_x), fmt::format("{:.6f}", p.scale_y));
  }
  out += "# Every mark of guide.svg, mm from the sheet's top left corner as seen on the guide.\nmarks:\n";
  for (const Mark& m : sheet.marks) Append(m, sheet.sheet_at, out);
  return out;
}

}  // namespace truepull
