// SPDX-License-Identifier: Apache-2.0
// Pages of a finished PDF as poppler's other renderer sees them: lines, and pixels that no
// line was rounded to.
#ifndef TRUEPULL_TESTS_SUPPORT_PDF_PAGES_H_
#define TRUEPULL_TESTS_SUPPORT_PDF_PAGES_H_

#include <algorithm>
#include <filesystem>
#include <opencv2/imgcodecs.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/raster.h"
#include "truepull/geometry.h"

namespace truepull::testing {

struct PdfLine {
  std::vector<Point> points;  // Page mm.
  bool closed = false, filled = false;
  double width_mm = 0;
  bool dashed = false;
};

/// The lines and filled shapes of one page (from 1), without the letters of words.
inline std::vector<PdfLine> PdfLines(const std::filesystem::path& pdf, int page, const std::filesystem::path& folder) {
  const std::string svg = (folder / "lines.svg").string();
  // Without the two options poppler shrinks the page for a printer.
  const std::string command = "pdftocairo -svg -noshrink -nocenter -f " + std::to_string(page) + " -l " + std::to_string(page) + " '" +
                              pdf.string() + "' '" + svg + "'";
  if (std::system(command.c_str()) != 0) throw std::runtime_error("failed: " + command);
  std::istringstream in(ReadFile(svg));
  std::vector<PdfLine> out;
  bool words = false;
  constexpr double kMm = 25.4 / 72;
  for (std::string line; std::getline(in, line);) {
    if (line.find("<defs>") != std::string::npos) words = true;
    if (line.find("</defs>") != std::string::npos) words = false;
    const auto d = line.find(" d=\"");
    if (words || line.find("<path") == std::string::npos || d == std::string::npos) continue;
    if (line.find("transform=") != std::string::npos) throw std::runtime_error("a page that poppler transforms: " + line.substr(0, 200));
    PdfLine p;
    const auto width = line.find("stroke-width:");
    if (width != std::string::npos) p.width_mm = kMm * std::stod(line.substr(width + 13));
    p.filled = line.find("fill:none") == std::string::npos;
    p.dashed = line.find("stroke-dasharray") != std::string::npos;
    std::istringstream numbers(line.substr(d + 4, line.find('"', d + 4) - d - 4));
    for (std::string token; numbers >> token;) {
      if (token == "Z") {
        p.closed = true;
        break;  // Poppler moves to the start once more.
      }
      if (token == "M" || token == "L") {
        Point q;
        numbers >> q.x >> q.y;
        p.points.push_back(kMm * q);
      }
    }
    out.push_back(std::move(p));
  }
  return out;
}

/// Every page in grey, lines where the file has them (pdftoppm moves upright and level
/// lines to whole pixels).
inline std::vector<Raster> RasterisePrecisely(const std::filesystem::path& pdf, int dpi, const std::filesystem::path& folder) {
  const std::string prefix = (folder / "precise").string();
  const std::string command = "pdftocairo -tiff -tiffcompression none -gray -r " + std::to_string(dpi) + " '" + pdf.string() + "' '" + prefix + "'";
  if (std::system(command.c_str()) != 0) throw std::runtime_error("failed: " + command);
  std::vector<Raster> pages;
  for (const auto& file : FilesEnding(folder, ".tif")) {
    const cv::Mat grey = cv::imread(file.string(), cv::IMREAD_GRAYSCALE);
    if (grey.empty()) throw std::runtime_error("not a picture: " + file.string());
    Raster page;
    page.width = grey.cols, page.height = grey.rows, page.mm_per_px = 25.4 / dpi;
    page.grey.assign(grey.data, grey.data + grey.total());
    pages.push_back(std::move(page));
    std::filesystem::remove(file);
  }
  return pages;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_PDF_PAGES_H_
