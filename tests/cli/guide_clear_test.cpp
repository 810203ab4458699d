// SPDX-License-Identifier: Apache-2.0
// Finished pages of dense lattices: words keep clear of lines and of each other; and grey
// pages: actions are told apart without colour.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "guide/clearance.h"
#include "support/guide_runs.h"
#include "support/pdf_pages.h"

namespace truepull::testing {
namespace {

// A tile whose sides are waves, so that neighbours interlock.
Outline Wavy(double size) {
  Outline outline;
  const auto side = [&](Point from, Point to) {
    const Point d = to - from, normal{-d.y, d.x};
    for (int i = 0; i < 24; ++i) outline.push_back(from + (i / 24.0) * d + (0.1 * std::sin(2 * std::numbers::pi * i / 24.0)) * normal);
  };
  const double h = size / 2;
  side({-h, -h}, {h, -h});
  side({h, -h}, {h, h});
  side({h, h}, {-h, h});
  side({-h, h}, {-h, -h});
  return outline;
}

struct DenseCase {
  const char* name;
  Reading reading;
};

std::vector<DenseCase> DenseCases() {
  std::vector<DenseCase> out;
  out.push_back({"squares of 24 mm", Dense()});
  Plan wavy = RectanglePlan(6, 8);
  wavy.plates[0].outline = Wavy(28);
  wavy.lattice.origin = {50, 50};
  wavy.lattice.across = {28, 0};
  wavy.lattice.down = {0, 28};
  out.push_back({"waves of 28 mm", ReadingOf(wavy)});
  // Hexagons of 16 mm side, every other row half a step aside.
  Plan hexagons = RectanglePlan(6, 9);
  Outline hexagon;
  for (int i = 0; i < 6; ++i) hexagon.push_back(Rotation(std::numbers::pi / 6 + i * std::numbers::pi / 3) * Point{16, 0});
  hexagons.plates[0].outline = hexagon;
  const double step = 16 * std::sqrt(3.0);
  hexagons.lattice.origin = {50, 50};
  hexagons.lattice.across = {step, 0};
  hexagons.lattice.down = {0, 24};
  hexagons.lattice.stagger_rows = 0.5;
  out.push_back({"hexagons of 16 mm", ReadingOf(hexagons)});
  // Triangles of 40 mm, up and down in turn.
  Plan triangles = RectanglePlan(5, 12);
  const double high = 40 * std::sqrt(3.0) / 2;
  triangles.plates[0].outline = {{-20, high / 2}, {0, -high / 2}, {20, high / 2}};
  triangles.lattice.origin = {60, 60};
  triangles.lattice.across = {20, 0};
  triangles.lattice.down = {0, high};
  triangles.lattice.turns_rad = {0, std::numbers::pi};
  out.push_back({"triangles of 40 mm", ReadingOf(triangles)});
  return out;
}

// The ink's box of a word: poppler gives the face's ascent (0.928 em) and descent (0.236),
// of which capitals fill 0.729 em; long letters reach 0.236 below.
Box InkBox(const PdfWord& w, bool upright) {
  Box b = w.box;
  const double em = (upright ? b.Height() : b.Width()) / 1.164;
  const bool long_letters = w.text.find_first_of("gjpqy,;()/") != std::string::npos;
  const double above = 0.19 * em, below = long_letters ? 0 : 0.23 * em;
  if (upright) b.top += above, b.bottom -= below;
  else b.right -= above, b.left += below;
  return b;
}

double Apart(const Box& a, const Box& b) {
  const double dx = std::max({0.0, a.left - b.right, b.left - a.right}), dy = std::max({0.0, a.top - b.bottom, b.top - a.bottom});
  return std::hypot(dx, dy);
}

TEST(GuideClear, WordsKeepOffLinesAndEachOtherOnDensePages) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler is not installed";
  for (const DenseCase& c : DenseCases()) {
    for (const UseCase& use : Uses()) {
      for (const char* paper : {"A4", "sheet"}) {
        SCOPED_TRACE(fmt::format("{}, {} on {}", c.name, use.name, paper));
        std::vector<std::string> flags = use.flags;
        flags.insert(flags.end(), {"--paper", paper});
        const auto w = Next(c.reading, flags);
        const auto words = PdfWords(w->out() / "guide.pdf");
        double from_lines = 10, from_words = 10;
        std::string nearest_line, nearest_word;
        for (std::size_t page = 0; page < words.size(); ++page) {
          std::vector<std::pair<Segment, double>> lines;
          for (const PdfLine& l : PdfLines(w->out() / "guide.pdf", static_cast<int>(page) + 1, w->folder.path())) {
            for (std::size_t k = 0; k + (l.closed || l.filled ? 0 : 1) < l.points.size(); ++k) {
              lines.push_back({{l.points[k], l.points[(k + 1) % l.points.size()]}, l.filled ? 0 : l.width_mm / 2});
            }
          }
          std::vector<Box> boxes;
          for (const PdfWord& word : words[page]) {
            // Words of more than two letters that are higher than wide stand upright on the page's side.
            boxes.push_back(InkBox(word, word.box.Width() > 0.8 * word.box.Height() || word.text.size() < 3));
          }
          for (std::size_t i = 0; i < boxes.size(); ++i) {
            const Box& b = boxes[i];
            for (const auto& [s, half] : lines) {
              if (std::min(s.a.x, s.b.x) > b.right + 3 || std::max(s.a.x, s.b.x) < b.left - 3 || std::min(s.a.y, s.b.y) > b.bottom + 3 ||
                  std::max(s.a.y, s.b.y) < b.top - 3) {
                continue;
              }
              const double d = Distance(b, s) - half;
              if (d < from_lines) from_lines = d, nearest_line = fmt::format("{} on page {} at {:.1f} {:.1f}, line from {:.1f} {:.1f} to {:.1f} {:.1f}", words[page][i].text, page + 1, b.left, b.top, s.a.x, s.a.y, s.b.x, s.b.y);
            }
            for (std::size_t j = i + 1; j < boxes.size(); ++j) {
              // Words of one line stand a space apart, lines of one block a line.
              const bool one_block = std::abs(words[page][i].box.Height() - words[page][j].box.Height()) < 0.05 || j == i + 1;
              const double d = Apart(b, boxes[j]);
              if (one_block && d > 0) continue;
              if (d < from_words) from_words = d, nearest_word = fmt::format("{} and {} on page {}", words[page][i].text, words[page][j].text, page + 1);
            }
          }
        }
        std::printf("%s, %s, %s: words %.2f mm from lines (%s), %.2f from each other (%s)\n", c.name, use.name, paper, from_lines,
                    nearest_line.c_str(), from_words, nearest_word.c_str());
        EXPECT_GE(from_lines, 0.3) << nearest_line;
        EXPECT_GE(from_words, 0.3) << nearest_word;
      }
    }
  }
}

// Whose is it? Nearly every tick of a crowded sheet, and every stop point, has its site's name.
TEST(GuideClear, TicksOfTouchingTilesCarryTheirSitesName) {
  for (const DenseCase& c : DenseCases()) {
    for (const char* use : {"over", "under"}) {
      const auto w = Next(c.reading, {"--use", use});
      const std::string text = ReadFile(w->out() / "guide.svg");
      const SvgFile svg = ParseSvg(text);
      int ticks = 0, names = 0;
      for (const SvgPath& p : svg.paths) ticks += p.kind == "tick" ? 1 : 0;
      for (std::size_t at = text.find("<text class=\"tick\""); at != std::string::npos; at = text.find("<text class=\"tick\"", at + 1)) ++names;
      std::printf("%s, %s: %d of %d ticks named\n", c.name, use, names, ticks);
      EXPECT_GE(names, 0.75 * ticks) << c.name << use;
    }
  }
}

// --- Grey ------------------------------------------------------------------------------

// What sign stands at a place, by ink alone: a dot, a plus, a cross, a triangle.
std::string SignAt(const Raster& page, Point m) {
  const auto inked = [&](double x, double y) { return page.Ink(m + Point{x, y}) > 0.35; };
  const bool middle = inked(0, 0);
  const int straight = inked(1.7, 0) + inked(-1.7, 0) + inked(0, 1.7) + inked(0, -1.7);
  const int slanting = inked(1.3, 1.3) + inked(-1.3, 1.3) + inked(1.3, -1.3) + inked(-1.3, -1.3);
  if (middle && straight == 4 && slanting == 0) return "plus";
  if (middle && straight == 0 && slanting == 4) return "cross";
  if (middle && straight == 0 && slanting == 0) return "dot";
  // The triangle: nothing in its middle, a level base below it.
  if (!middle && inked(0, 1.6) && inked(1, 1.6) && inked(-1, 1.6)) return "triangle";
  return "none";
}

// Strokes to the centimetre and share of ink along a line, in the pixels.
struct Pattern {
  double strokes_per_cm = 0, share = 0, ink = 0;  // Ink: the mean of where there is some.
};
Pattern PatternAlong(const Raster& page, const std::vector<Point>& points, Point at) {
  Pattern out;
  double length = 0;
  int strokes = 0, on = 0, all = 0;
  bool before = true;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Point a = points[i] + at, b = points[(i + 1) % points.size()] + at;
    const double side = Norm(b - a);
    for (double t = 1; t < side - 1; t += 0.1) {
      const double ink = page.Ink(a + (t / side) * (b - a));
      const bool now = ink > 0.25;
      strokes += now && !before ? 1 : 0;
      on += now ? 1 : 0;
      out.ink += now ? ink : 0;
      before = now;
      ++all;
    }
    length += side - 2;
  }
  out.strokes_per_cm = 10 * strokes / length;
  out.share = static_cast<double>(on) / all;
  out.ink /= std::max(1, on);
  return out;
}

TEST(GuideGrey, SignAndDashTellTheActionsApart) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler is not installed";
  const Reading reading = Gutter();
  const std::map<std::string, std::string> sign{{"pull", "dot"}, {"strengthen", "plus"}, {"look", "triangle"}, {"leave", "cross"}};
  for (const UseCase& use : Uses()) {
    if (use.use == GuideUse::kMask) continue;  // Openings are cut, not told apart.
    SCOPED_TRACE(use.name);
    const TemporaryFolder folder;
    WriteFile(folder / "reading.yaml", WriteReading(reading, MeasureDrift(reading.plan, reading.sheet)));
    WriteFile(folder / "corrections.yaml", "truepull: 1\nsites:\n  - {site: C2, action: leave}\n  - {site: C4, nudge: [1.2, 0.8]}\n");
    std::vector<std::string> arguments{"next", "reading.yaml", "--out", "out", "--paper", "sheet"};
    arguments.insert(arguments.end(), use.flags.begin(), use.flags.end());
    ASSERT_EQ(RunTruepull(arguments, folder.path()).exit_code, 3);
    const SvgFile svg = ParseSvg(ReadFile(folder / "out/guide.svg"));
    const auto pages = RasterisePrecisely(folder / "out/guide.pdf", 300, folder.path());
    const Point at{-svg.view.left, -svg.view.top};
    std::istringstream csv(ReadFile(folder / "out/placements.csv"));
    std::string line;
    std::getline(csv, line);
    std::map<std::string, std::string> action;
    while (std::getline(csv, line)) {
      std::vector<std::string> cells;
      std::istringstream in(line);
      for (std::string cell; std::getline(in, cell, ',');) cells.push_back(cell);
      action["site-" + cells[0] + "-" + cells[1]] = cells[2];
    }
    std::map<std::string, Box> signs;
    std::map<std::string, Pattern> pattern;
    std::map<std::string, int> seen;
    double found_ink = 0, found_width = 0;
    for (const SvgPath& p : svg.paths) {
      if (action.count(p.group) == 0) continue;
      if (p.kind == "sign") {
        const Box b = BoundingBox(p.points);
        Box& box = signs.emplace(p.group, b).first->second;
        box = {std::min(box.left, b.left), std::min(box.top, b.top), std::max(box.right, b.right), std::max(box.bottom, b.bottom)};
      }
      if (p.kind == "outline") pattern[action[p.group]] = PatternAlong(pages[0], p.points, at);
      if (p.kind == "found") found_ink = std::max(found_ink, PatternAlong(pages[0], p.points, at).ink), found_width = p.width_mm;
    }
    EXPECT_EQ(signs.size(), 12u);
    for (const auto& [group, box] : signs) {
      Point middle{(box.left + box.right) / 2, (box.top + box.bottom) / 2};
      EXPECT_EQ(SignAt(pages[0], middle + at), sign.at(action[group])) << group << " " << action[group];
      ++seen[action[group]];
    }
    EXPECT_EQ(seen.size(), 4u);
    // Full; long strokes; short ones; dots: by the number of strokes and the share of ink.
    const Pattern full = pattern["pull"], longs = pattern["strengthen"], shorts = pattern["look"], dots = pattern["leave"];
    std::printf("grey, %s: strokes/cm and ink: pull %.2f %.2f, strengthen %.2f %.2f, look %.2f %.2f, leave %.2f %.2f; found %.2f\n", use.name,
                full.strokes_per_cm, full.share, longs.strokes_per_cm, longs.share, shorts.strokes_per_cm, shorts.share, dots.strokes_per_cm,
                dots.share, found_ink);
    EXPECT_LT(full.strokes_per_cm, 0.3);
    EXPECT_GT(full.share, 0.95);
    EXPECT_GT(longs.strokes_per_cm, 1.0);
    EXPECT_LT(longs.strokes_per_cm, 1.7);
    EXPECT_GT(shorts.strokes_per_cm, 1.6 * longs.strokes_per_cm);
    EXPECT_GT(dots.strokes_per_cm, 1.4 * shorts.strokes_per_cm);
    EXPECT_LT(dots.share, 0.75 * shorts.share);
    for (const Pattern& p : {full, longs, shorts, dots}) EXPECT_GT(p.ink, 0.4);  // Each is dark enough to be seen.
    // A first impression is thinner and paler than any target, and broken.
    if (UseLookOf(use.use).shows_found) {
      EXPECT_GT(found_ink, 0.2);
      EXPECT_LT(found_ink, 0.75 * full.ink);
      EXPECT_LE(found_width, 0.2);
    }
  }
}

}  // namespace
}  // namespace truepull::testing
