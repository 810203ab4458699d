// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <iterator>

#include "draw/ink.h"
#include "geometry/markup_text.h"
#include "truepull/draw.h"

namespace truepull {
namespace {

// Ten-thousandths of a millimetre: finer than any printer, and the same everywhere.
std::string Number(double v) {
  std::string s = fmt::format("{:.4f}", v);
  while (s.back() == '0') s.pop_back();
  if (s.back() == '.') s.pop_back();
  return s == "-0" ? "0" : s;
}

std::string Colour(Ink ink) {
  const Rgb c = ColourOf(ink);
  return fmt::format("#{:02x}{:02x}{:02x}", c.r, c.g, c.b);
}

std::string Colour(const PathMark& path) { return path.colour.size() == 7 ? path.colour : Colour(path.ink); }

// Between tags an apostrophe stands for itself; programs that search the text find it so.
std::string Content(const std::string& text) {
  std::string out = EscapeMarkup(text);
  for (std::size_t at = out.find("&#39;"); at != std::string::npos; at = out.find("&#39;", at)) out.replace(at, 5, "'");
  return out;
}

std::string Element(const Mark& mark, const PathMark& path) {
  std::string d;
  for (const Point p : path.points) {
    d += fmt::format("{}{} {}", d.empty() ? "M" : " L", Number(p.x), Number(p.y));
  }
  if (path.closed) d += " Z";
  std::string out = fmt::format("<path class=\"{}\" d=\"{}\"", NameOf(mark.role), d);
  if (path.filled) return out + fmt::format(" fill=\"{}\"/>\n", Colour(path));
  // The whole outline of a site that only corner pieces are drawn of: for programs.
  if (mark.hidden) return out + " fill=\"none\" stroke=\"none\"/>\n";
  out += fmt::format(" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"", Colour(path), Number(path.width_mm));
  std::string dashes;
  for (const double v : PatternOf(path.dash)) dashes += fmt::format("{}{}", dashes.empty() ? "" : " ", Number(v));
  if (!dashes.empty()) out += fmt::format(" stroke-dasharray=\"{}\"", dashes);
  return out + "/>\n";
}

std::string Element(const Mark& mark, const TextMark& text) {
  std::string out = fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\" font-size=\"{}\"", NameOf(mark.role),
                                Number(text.at.x), Number(text.at.y), Number(text.cap_mm / kFaceCapOfEm));
  if (text.anchor != Anchor::kStart) {
    out += fmt::format(" text-anchor=\"{}\"", text.anchor == Anchor::kMiddle ? "middle" : "end");
  }
  if (text.bold) out += " font-weight=\"bold\"";
  if (text.quarter_turns != 0) {
    out += fmt::format(" transform=\"rotate({} {} {})\"", 90 * text.quarter_turns, Number(text.at.x), Number(text.at.y));
  }
  return out + fmt::format(" fill=\"{}\">{}</text>\n", Colour(text.ink), Content(text.text));
}

Mark OnGuide(Mark mark, Point sheet_at) {
  if (auto* path = std::get_if<PathMark>(&mark.what)) {
    for (Point& p : path->points) p = p - sheet_at;
  } else {
    auto& text = std::get<TextMark>(mark.what);
    text.at = text.at - sheet_at;
  }
  return mark;
}

}  // namespace

std::string DrawSvg(const GuidePage& page, const std::string& title) {
  std::string out = fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" xml:lang=\"en\" width=\"{0}mm\" "
      "height=\"{1}mm\" viewBox=\"{2} {3} {7} {8}\"{9} font-family=\"'{4}', {5}\">\n"
      "<title>{6}</title>\n",
      Number(page.width_mm), Number(page.height_mm), Number(-page.sheet_at.x), Number(-page.sheet_at.y),
      kFace, kOtherFaces, EscapeMarkup(title), Number(page.width_mm / page.scale_x), Number(page.height_mm / page.scale_y),
      page.scale_x != page.scale_y ? " preserveAspectRatio=\"none\"" : "");
  for (const PagePicture& p : page.pictures) {
    out += fmt::format("<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" href=\"data:image/png;base64,{}\"/>\n",
                       Number(p.box.left - page.sheet_at.x), Number(p.box.top - page.sheet_at.y), Number(p.box.Width()), Number(p.box.Height()),
                       Base64(p.png));
  }
  std::string group;
  for (const Mark& m : page.marks) {
    if (m.group != group) {
      if (!group.empty()) out += "</g>\n";
      if (!m.group.empty()) out += fmt::format("<g id=\"{}\">\n", m.group);
      group = m.group;
    }
    const Mark mark = OnGuide(m, page.sheet_at);
    out += std::visit([&](const auto& what) { return Element(mark, what); }, mark.what);
  }
  if (!group.empty()) out += "</g>\n";
  return out + "</svg>\n";
}

}  // namespace truepull
