// SPDX-License-Identifier: Apache-2.0
// Colours in plain words, by lightness and hue; for tables read in grey.
#include <algorithm>
#include <cmath>

#include "truepull/pages.h"

namespace truepull {

std::string ColourWords(const std::string& hex) {
  if (hex.size() != 7 || hex[0] != '#') return "";
  const auto part = [&](std::size_t at) { return std::stoi(hex.substr(at, 2), nullptr, 16) / 255.0; };
  const double r = part(1), g = part(3), b = part(5);
  const double high = std::max({r, g, b}), low = std::min({r, g, b}), spread = high - low;
  // Brightness by the usual weights of the eye (ITU-R BT.601).
  const double light = 0.299 * r + 0.587 * g + 0.114 * b;
  if (spread < 0.09) return light < 0.15 ? "black" : light < 0.4 ? "dark grey" : light < 0.7 ? "grey" : light < 0.9 ? "pale grey" : "white";
  double hue = high == r ? (g - b) / spread : high == g ? 2 + (b - r) / spread : 4 + (r - g) / spread;
  hue = std::fmod(60 * hue + 360, 360);
  std::string name = hue < 14 || hue >= 342 ? "red" : hue < 40 ? "orange" : hue < 68 ? "yellow" : hue < 165 ? "green"
                     : hue < 195 ? "blue-green" : hue < 252 ? "blue" : hue < 318 ? "violet" : "pink";
  if (name == "orange" && light < 0.5) name = "brown";  // Dark orange is called brown,
  if (name == "yellow" && light < 0.55) name = "olive"; // and dark yellow olive.
  const bool grey = spread < 0.22 * high;
  const char* tone = light < 0.25 ? "dark " : light > 0.72 && name != "yellow" ? "pale " : "";
  return std::string(grey ? "greyish " : "") + (grey ? "" : tone) + name;
}

}  // namespace truepull
