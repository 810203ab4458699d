// SPDX-License-Identifier: Apache-2.0
// Readings for guides, `truepull next` on them in every use, and their lines in pixels.
#ifndef TRUEPULL_TESTS_SUPPORT_GUIDE_RUNS_H_
#define TRUEPULL_TESTS_SUPPORT_GUIDE_RUNS_H_

#include <gtest/gtest.h>

#include <array>
#include <map>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "guide/clearance.h"
#include "support/guide_files.h"
#include "support/program.h"
#include "support/raster.h"
#include "support/sheets.h"
#include "truepull/drift.h"
#include "truepull/guide.h"
#include "truepull/reading_text.h"

namespace truepull::testing {

/// A sheet as a hand pulled it, one site missing and one weak, in a photo of 4000 x 3000 px.
struct Hand {
  unsigned seed = 21;
  double mm = 0.6, degrees = 0.5;
  std::size_t missing = 2, weak = 4;
};
inline Reading ReadingOf(Plan plan, const Hand& hand = {}) {
  plan.title = "Harbour proof";
  Reading reading = IdealReading(plan);
  std::mt19937_64 random(hand.seed);
  Scatter(reading.sheet, hand.mm, RadFromDeg(hand.degrees), random);
  reading.sheet.sites[hand.missing].state = SiteState::kMissing;
  reading.sheet.sites[hand.weak].state = SiteState::kWeak;
  reading.photo_name = "proof.jpg";
  reading.sheet.photo_width_px = 4000;
  reading.sheet.photo_height_px = 3000;
  return reading;
}

/// Twelve tiles with a gutter on A3.
inline Reading Gutter() {
  Plan plan = RectanglePlan(3, 4);
  plan.lattice.origin = {40, 40};
  plan.lattice.across = {72, 0};
  plan.lattice.down = {0, 60};
  return ReadingOf(plan);
}

/// Squares of 24 mm that touch: the densest a class gets.
inline Reading Dense() {
  Plan plan = RectanglePlan(6, 9);
  plan.sheet.width_mm = 297;
  plan.sheet.height_mm = 210;
  plan.plates[0].outline = {{-12, -12}, {12, -12}, {12, 12}, {-12, 12}};
  plan.lattice.origin = {42, 42};
  plan.lattice.across = {24, 0};
  plan.lattice.down = {0, 24};
  return ReadingOf(plan);
}

struct Written {
  TemporaryFolder folder;
  ProgramRun run;
  std::filesystem::path out() const { return folder / "out"; }
  SvgFile svg() const { return ParseSvg(ReadFile(out() / "guide.svg")); }
};

inline std::unique_ptr<Written> Next(const Reading& reading, const std::vector<std::string>& more) {
  auto w = std::make_unique<Written>();
  WriteFile(w->folder / "reading.yaml", WriteReading(reading, MeasureDrift(reading.plan, reading.sheet)));
  std::vector<std::string> arguments{"next", (w->folder / "reading.yaml").string(), "--out", w->out().string()};
  arguments.insert(arguments.end(), more.begin(), more.end());
  w->run = RunTruepull(arguments);
  EXPECT_EQ(w->run.exit_code, 3) << w->run.err;  // One site is missing.
  return w;
}

struct UseCase {
  const char* name;
  std::vector<std::string> flags;
  GuideUse use;
};
inline const std::vector<UseCase>& Uses() {
  static const std::vector<UseCase> uses{{"under", {"--use", "under"}, GuideUse::kUnder},
                                         {"over", {"--use", "over"}, GuideUse::kOver},
                                         {"plate, face", {"--use", "plate", "--seen", "face"}, GuideUse::kPlateFace},
                                         {"plate, back", {"--use", "plate"}, GuideUse::kPlateBack},
                                         {"back", {"--use", "back"}, GuideUse::kBack},
                                         {"mask", {"--use", "mask"}, GuideUse::kMask},
                                         {"stops", {"--use", "stops"}, GuideUse::kStops}};
  return uses;
}

struct Tally {
  double worst = 0;
  int tried = 0, measured = 0;
  std::array<double, 2> least{}, most{};  // Signed, of upright and of level lines.
  void Spread(std::size_t axis, double off) {
    least[axis] = std::min(least[axis], off);
    most[axis] = std::max(most[axis], off);
  }
};

/// Every full line of an SVG found in a page's pixels, by kind. `at` is where the sheet's
/// origin lies on the page; `wanted` tells which places to look at.
template <typename Wanted>
inline std::map<std::string, Tally> LinesInPixels(const SvgFile& svg, const Raster& page, Point at, Wanted wanted) {
  std::map<std::string, Tally> out;
  for (const SvgPath& p : svg.paths) {
    if (p.filled || p.hidden || !p.dash.empty() || p.width_mm < 0.15 || p.kind == "letter" || p.kind == "sign" || p.kind == "map") continue;
    Tally& tally = out[p.kind];
    const std::size_t n = p.points.size();
    for (std::size_t i = 0; i + (p.closed ? 0 : 1) < n; ++i) {
      const Point a = p.points[i], b = p.points[(i + 1) % n];
      const double length = Norm(b - a);
      if (length < 2) continue;
      const Point along = (1 / length) * (b - a), normal{-along.y, along.x};
      for (double t = 1; t < length - 0.9; t += 3.1) {
        if (!wanted(p, Segment{a, b}, a + t * along)) continue;
        ++tally.tried;
        const auto off = page.LineOffset(a + t * along + at, normal, p.width_mm);
        if (!off) continue;
        ++tally.measured;
        tally.worst = std::max(tally.worst, std::abs(*off));
        // Of each other: along x and along y, signed.
        for (const double side : {-1.0, 1.0}) {
          if (std::abs(normal.x - side) < 1e-9) tally.Spread(0, side * *off);
          if (std::abs(normal.y - side) < 1e-9) tally.Spread(1, side * *off);
        }
      }
    }
  }
  return out;
}

inline std::map<std::string, Tally> LinesInPixels(const SvgFile& svg, const Raster& page, Point at) {
  return LinesInPixels(svg, page, at, [](const SvgPath&, const Segment&, Point) { return true; });
}

}  // namespace truepull::testing

#endif  // TRUEPULL_TESTS_SUPPORT_GUIDE_RUNS_H_
