// SPDX-License-Identifier: Apache-2.0
// A finished PDF turned into pixels by poppler, and lines found in them.
#ifndef TRUEPULL_TESTS_SUPPORT_RASTER_H_
#define TRUEPULL_TESTS_SUPPORT_RASTER_H_

#include <algorithm>
#include <cmath>
#include <cctype>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "truepull/geometry.h"

namespace truepull::testing {

/// Whether a program of poppler's is there: tests skip with a plain reason if not.
inline bool HasPoppler() {
  return std::system("pdftoppm -v >/dev/null 2>&1 && pdftotext -v >/dev/null 2>&1") == 0;
}

/// A page in grey; positions in mm from its top left corner.
struct Raster {
  int width = 0, height = 0;
  double mm_per_px = 1;
  std::vector<std::uint8_t> grey;

  /// Ink at a place, 0 (paper) to 1 (black), between pixel centres bilinearly.
  double Ink(Point mm) const {
    const double x = mm.x / mm_per_px - 0.5, y = mm.y / mm_per_px - 0.5;
    const int i = static_cast<int>(std::floor(x)), j = static_cast<int>(std::floor(y));
    const auto at = [&](int u, int v) {
      if (u < 0 || v < 0 || u >= width || v >= height) return 0.0;
      return 1 - grey[static_cast<std::size_t>(v) * static_cast<std::size_t>(width) + static_cast<std::size_t>(u)] / 255.0;
    };
    const double fx = x - i, fy = y - j;
    return (1 - fy) * ((1 - fx) * at(i, j) + fx * at(i + 1, j)) + fy * ((1 - fx) * at(i, j + 1) + fx * at(i + 1, j + 1));
  }

  /// How far the middle of a line lies from where it should be, along `normal` (unit),
  /// by the centre of its ink. Nothing when the profile shows no line, more than one, or
  /// one of another width.
  std::optional<double> LineOffset(Point mm, Point normal, double width_mm) const {
    const double reach = width_mm / 2 + 0.5, step = mm_per_px / 4;
    double sum = 0, first = 0, most = 0;
    for (double t = -reach; t <= reach; t += step) {
      const double ink = Ink(mm + t * normal);
      sum += ink, first += ink * t, most = std::max(most, ink);
    }
    if (most < 0.3 || Ink(mm + reach * normal) > 0.02 || Ink(mm - reach * normal) > 0.02) return std::nullopt;
    const double found_width = sum * step / most;
    if (found_width < 0.6 * width_mm || found_width > 1.35 * width_mm) return std::nullopt;
    return first / sum;
  }

  /// Where a line that runs from `inside` along `direction` (unit) ends, in mm from
  /// `inside`: the place where its ink falls to half.
  std::optional<double> LineEnd(Point inside, Point direction, double furthest_mm) const {
    const double half = Ink(inside) / 2;
    if (half < 0.15) return std::nullopt;
    const double step = mm_per_px / 8;
    for (double t = 0; t < furthest_mm; t += step) {
      const double now = Ink(inside + t * direction), next = Ink(inside + (t + step) * direction);
      if (now >= half && next < half) return t + step * (now - half) / (now - next);
    }
    return std::nullopt;
  }
};

/// Share of a box that carries ink.
inline double InkIn(const Raster& page, const Box& box) {
  double sum = 0;
  int n = 0;
  for (double x = box.left; x < box.right; x += 0.2) {
    for (double y = box.top; y < box.bottom; y += 0.2) sum += page.Ink({x, y}), ++n;
  }
  return sum / n;
}

/// Whether the letter R stands at a guide page's top left and reads properly: a full stem at
/// its left that the right has not, and a stroke at the top that the foot has not.
inline bool LetterReads(const Raster& page) {
  const Box r{8, 8, 20, 25};
  return InkIn(page, {r.left + 0.5, r.top, r.left + 2, r.bottom}) > 0.95 && InkIn(page, {r.right - 1.5, r.top, r.right, r.bottom}) < 0.6 &&
         InkIn(page, {r.left + 3, r.top + 0.5, r.left + 7, r.top + 2}) > 0.95 &&
         InkIn(page, {r.left + 3.2, r.bottom - 2, r.left + 7, r.bottom - 0.5}) < 0.05;
}

/// The files of a folder that end so (".pgm"), in order.
inline std::vector<std::filesystem::path> FilesEnding(const std::filesystem::path& folder, std::string_view end) {
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() == end) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

/// The pages of a PDF file.
inline std::vector<Raster> Rasterise(const std::filesystem::path& pdf, int dpi, const std::filesystem::path& folder) {
  const std::string prefix = (folder / "page").string();
  const std::string command = "pdftoppm -gray -r " + std::to_string(dpi) + " '" + pdf.string() + "' '" + prefix + "'";
  if (std::system(command.c_str()) != 0) throw std::runtime_error("failed: " + command);
  std::vector<Raster> pages;
  for (const auto& file : FilesEnding(folder, ".pgm")) {
    std::ifstream in(file, std::ios::binary);
    std::string magic;
    int white = 0;
    Raster page;
    in >> magic >> page.width >> page.height >> white;
    in.get();
    if (magic != "P5" || white != 255) throw std::runtime_error("not a grey picture: " + file.string());
    page.grey.resize(static_cast<std::size_t>(page.width) * static_cast<std::size_t>(page.height));
    in.read(reinterpret_cast<char*>(page.grey.data()), static_cast<std::streamsize>(page.grey.size()));
    page.mm_per_px = 25.4 / dpi;
    pages.push_back(std::move(page));
    std::filesystem::remove(file);
  }
  return pages;
}

/// The words of a PDF file, white space run together.
inline std::string WordsOf(const std::filesystem::path& pdf) {
  const std::string command = "pdftotext -raw '" + pdf.string() + "' -";
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("failed: " + command);
  std::string out;
  bool space = false;
  for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) {
    if (std::isspace(c)) {
      space = true;
      continue;
    }
    if (space && !out.empty()) out += ' ';
    space = false;
    out += static_cast<char>(c);
  }
  pclose(pipe);
  return out;
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_RASTER_H_
