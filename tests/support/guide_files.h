// SPDX-License-Identifier: Apache-2.0
// A guide's finished files taken apart: guide.svg's paths, guide.pdf's words and pages.
#ifndef TRUEPULL_TESTS_SUPPORT_GUIDE_FILES_H_
#define TRUEPULL_TESTS_SUPPORT_GUIDE_FILES_H_

#include <cstdio>
#include <map>
#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "support/files.h"
#include "truepull/geometry.h"

namespace truepull::testing {

struct SvgPath {
  std::string group, kind;      // "site-0-1", "outline".
  std::vector<Point> points;
  bool closed = false, filled = false, hidden = false;
  double width_mm = 0;
  std::string dash;
};

struct SvgFile {
  Box view;
  double width_mm = 0, height_mm = 0;  // Of the drawing, as printed.
  std::vector<SvgPath> paths;
};

inline SvgFile ParseSvg(const std::string& text) {
  SvgFile svg;
  std::istringstream lines(text);
  std::string line, group;
  const std::regex path("<path class=\"([a-z-]+)\" d=\"([^\"]+)\""), id("<g id=\"([^\"]+)\">"),
      width("stroke-width=\"([0-9.]+)\""), dash("stroke-dasharray=\"([^\"]+)\""),
      view("width=\"([0-9.]+)mm\" height=\"([0-9.]+)mm\" viewBox=\"([-0-9.]+) ([-0-9.]+) ([-0-9.]+) ([-0-9.]+)\"");
  while (std::getline(lines, line)) {
    std::smatch m;
    if (line.find("<svg") != std::string::npos && std::regex_search(line, m, view)) {
      const double x = std::stod(m[3]), y = std::stod(m[4]);
      svg.width_mm = std::stod(m[1]), svg.height_mm = std::stod(m[2]);
      svg.view = {x, y, x + std::stod(m[5]), y + std::stod(m[6])};
    }
    if (std::regex_search(line, m, id)) group = m[1];
    if (line == "</g>") group.clear();
    if (!std::regex_search(line, m, path)) continue;
    SvgPath p;
    p.group = group;
    p.kind = m[1];
    std::string numbers = m[2];
    p.closed = numbers.find('Z') != std::string::npos;
    for (char& c : numbers) {
      if (c == 'M' || c == 'L' || c == 'Z') c = ' ';
    }
    std::istringstream in(numbers);
    for (Point q; in >> q.x >> q.y;) p.points.push_back(q);
    p.filled = line.find("fill=\"none\"") == std::string::npos;
    p.hidden = line.find("stroke=\"none\"") != std::string::npos;
    if (std::regex_search(line, m, width)) p.width_mm = std::stod(m[1]);
    if (std::regex_search(line, m, dash)) p.dash = m[1];
    svg.paths.push_back(std::move(p));
  }
  return svg;
}

/// A word of a PDF's page with its box, mm.
struct PdfWord {
  std::string text;
  Box box;
};

inline std::string OutputOf(const std::string& command) {
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("failed: " + command);
  std::string out;
  for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) out += static_cast<char>(c);
  pclose(pipe);
  return out;
}

/// Words of each page, by poppler.
inline std::vector<std::vector<PdfWord>> PdfWords(const std::filesystem::path& pdf) {
  std::vector<std::vector<PdfWord>> pages;
  std::istringstream lines(OutputOf("pdftotext -bbox '" + pdf.string() + "' -"));
  const std::regex word("<word xMin=\"([-0-9.]+)\" yMin=\"([-0-9.]+)\" xMax=\"([-0-9.]+)\" yMax=\"([-0-9.]+)\">(.*)</word>");
  constexpr double kMm = 25.4 / 72;
  for (std::string line; std::getline(lines, line);) {
    if (line.find("<page ") != std::string::npos) pages.emplace_back();
    std::smatch m;
    if (!std::regex_search(line, m, word)) continue;
    pages.back().push_back({m[5], {kMm * std::stod(m[1]), kMm * std::stod(m[2]), kMm * std::stod(m[3]), kMm * std::stod(m[4])}});
  }
  return pages;
}

/// White space run together.
inline std::string Spaced(const std::string& text) {
  std::string out;
  std::istringstream in(text);
  for (std::string word; in >> word;) out += (out.empty() ? "" : " ") + word;
  return out;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_GUIDE_FILES_H_
