// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <string_view>

#include "truepull/guide.h"

namespace truepull {
namespace {

// Capitals of the sans faces asked for are 0.72-0.73 of the em.
constexpr double kCapOfEm = 0.72;
// Descenders reach 0.24 em below the base line.
constexpr double kDescenderOfCap = 0.24 / kCapOfEm;

// Advance in em, regular weight, rounded up from the widest of the faces asked for.
double Advance(char c) {
  constexpr std::string_view kNarrow = "ijl.,:;'| ";
  constexpr std::string_view kSlim = "ftr()/-[]I!";
  constexpr std::string_view kWide = "mwMWOQDGNHU&";
  if (kNarrow.find(c) != std::string_view::npos) return 0.36;
  if (kSlim.find(c) != std::string_view::npos) return 0.43;
  if (c == '%' || c == 'W' || c == 'm' || c == '@') return 1.0;
  if (kWide.find(c) != std::string_view::npos) return 0.87;
  if (c >= 'A' && c <= 'Z') return 0.72;
  if (c == '"') return 0.5;
  if (c == '^' || c == '+' || c == '=' || c == '<' || c == '>' || c == '#' || c == '~') return 0.86;
  return 0.64;
}

}  // namespace

double TextWidth(std::string_view text, double cap_mm, bool bold) {
  double em = 0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x80 && byte < 0xC0) continue;  // Goes on with the letter before.
    em += byte >= 0x80 ? 1.05 : Advance(c);     // Any other letter: as wide as any.
  }
  return em * (bold ? 1.15 : 1.0) * cap_mm / kCapOfEm;
}

Box TextBox(const TextMark& text) {
  const double width = TextWidth(text.text, text.cap_mm, text.bold);
  double left = 0;
  if (text.anchor == Anchor::kMiddle) left = -width / 2;
  if (text.anchor == Anchor::kEnd) left = -width;
  const Rotation turn(text.quarter_turns * std::numbers::pi / 2);
  const Outline corners{text.at + turn * Point{left, -text.cap_mm},
                        text.at + turn * Point{left + width, -text.cap_mm},
                        text.at + turn * Point{left + width, kDescenderOfCap * text.cap_mm},
                        text.at + turn * Point{left, kDescenderOfCap * text.cap_mm}};
  return BoundingBox(corners);
}

}  // namespace truepull
