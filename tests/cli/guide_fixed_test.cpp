// SPDX-License-Identifier: Apache-2.0
// The guide for a plate fixed face up: the sheet, laid as the finished drawing says, is
// printed where placements.csv wants it.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "support/guide_runs.h"
#include "support/pdf_pages.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

struct Laid {
  Point corner, along;  // The sheet's corner, and the way its lower edge runs; on the table.
};

// Angles and strokes of the drawing, by site. The inner edge of a line is the aim.
std::map<std::string, Laid> LaidSheets(const SvgFile& svg) {
  std::map<std::string, Laid> out;
  std::map<std::string, std::vector<SvgPath>> stops;
  for (const SvgPath& p : svg.paths) {
    if (p.kind == "stop") stops[p.group].push_back(p);
  }
  for (const auto& [group, paths] : stops) {
    EXPECT_EQ(paths.size(), 2u);
    EXPECT_EQ(paths[0].points.size(), 3u);
    const Point c = paths[0].points[1], arm = paths[0].points[0] - c, up = paths[0].points[2] - c;
    const Point along = (1 / Norm(arm)) * arm, side = (1 / Norm(up)) * up;
    EXPECT_NEAR(Dot(along, side), 0, 1e-4);
    const double half = paths[0].width_mm / 2;
    const Point corner = c + half * (along + side);
    // The stroke lies on the same edge, far enough to fix the turn.
    for (const Point p : paths[1].points) {
      EXPECT_NEAR(std::abs(Cross(along, p - c)), 0, 0.003) << group;
      EXPECT_GT(Dot(along, p - c), 80);
    }
    // From the corner to the stroke's far end: the drawing's digits do not show in the turn.
    const Point far = paths[1].points[1] - c;
    out[group] = {corner, (1 / Norm(far)) * far};
  }
  return out;
}

void ExpectPrintsWhereItShould(const Reading& reading, bool left_handed) {
  std::vector<std::string> flags{"--use", "back", "--paper", "sheet"};
  if (left_handed) flags.push_back("--left-handed");
  const auto w = Next(reading, flags);
  const SvgFile svg = ParseSvg(ReadFile(w->out() / "fixed-plate.svg"));
  Outline plate;
  for (const SvgPath& p : svg.paths) {
    if (p.kind == "plate") plate = p.points;
  }
  ASSERT_GE(plate.size(), 4u);
  const auto laid = LaidSheets(svg);
  const double width = reading.plan.sheet.width_mm, height = reading.plan.sheet.height_mm;
  std::istringstream csv(ReadFile(w->out() / "placements.csv"));
  std::string line;
  std::getline(csv, line);
  double worst = 0;
  int sites = 0;
  while (std::getline(csv, line)) {
    std::vector<std::string> cells;
    std::istringstream in(line);
    for (std::string cell; std::getline(in, cell, ',');) cells.push_back(cell);
    const Outline wanted = Apply(Pose{{std::stod(cells[3]), std::stod(cells[4])}, RadFromDeg(std::stod(cells[5]))}, reading.plan.plates[0].outline);
    const auto found = laid.find("site-" + cells[0] + "-" + cells[1]);
    ASSERT_NE(found, laid.end());
    // The sheet lies face down: from its back, x runs from its right edge. `u` along the
    // lower edge from the corner, `v` up from it.
    const Point along = found->second.along;
    const Point up = left_handed ? Point{along.y, -along.x} : Point{-along.y, along.x};
    ASSERT_EQ(plate.size(), wanted.size());
    for (std::size_t i = 0; i < plate.size(); ++i) {
      const Point on = plate[i] - found->second.corner;
      const double u = Dot(on, along), v = Dot(on, up);
      // Right hand: the corner is the printed face's lower left one, and u runs to the right of the face.
      const Point printed{left_handed ? width - u : u, height - v};
      worst = std::max(worst, Norm(printed - wanted[i]));
    }
    ++sites;
  }
  EXPECT_EQ(sites, static_cast<int>(reading.sheet.sites.size()));
  EXPECT_LT(worst, 0.01);
  std::printf("fixed plate%s: printed %.4f mm off at most\n", left_handed ? ", left hand" : "", worst);

  // The PDF has the same lines at the same places.
  const auto pages = RasterisePrecisely(w->out() / "fixed-plate.pdf", 300, w->folder.path());
  ASSERT_EQ(pages.size(), 1u);
  EXPECT_TRUE(LetterReads(pages[0]));
  for (const auto& [kind, tally] : LinesInPixels(svg, pages[0], {-svg.view.left, -svg.view.top})) {
    EXPECT_LT(tally.worst, 0.05) << kind;
    if (kind == "stop" || kind == "plate") {
      EXPECT_GT(tally.measured, 0.8 * tally.tried) << kind;
    }
  }
}

TEST(FixedPlate, PrintsEverySiteWhereItIsPlaced) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler is not installed";
  for (const bool left_handed : {false, true}) ExpectPrintsWhereItShould(Gutter(), left_handed);
  ExpectPrintsWhereItShould(Dense(), false);
}

TEST(FixedPlate, SaysHowTheSheetIsLowered) {
  if (!HasPoppler()) GTEST_SKIP() << "poppler is not installed";
  const auto w = Next(Gutter(), {"--use", "back"});
  const std::string words = Spaced(OutputOf("pdftotext -raw '" + (w->out() / "fixed-plate.pdf").string() + "' -"));
  for (const std::string& step : StepsOf(GuideUse::kFixed)) EXPECT_THAT(words, HasSubstr(step));
  EXPECT_THAT(words, HasSubstr("MIRRORED: "));
  for (int i = 0; i < 12; ++i) EXPECT_THAT(words, HasSubstr(SiteLabel({i / 4, i % 4})));
}

TEST(FixedPlate, ComesForEachPlateAndEachTurn) {
  Reading reading = Gutter();
  reading.plan.lattice.turns_rad = {0, std::numbers::pi};
  reading.sheet = ReadingAtIdeal(reading.plan);
  reading.sheet.sites[2].state = SiteState::kMissing;
  reading.sheet.photo_width_px = 4000;
  reading.sheet.photo_height_px = 3000;
  const auto w = Next(reading, {"--use", "back", "--paper", "sheet"});
  for (const char* name : {"fixed-plate-tile.svg", "fixed-plate-tile-180.svg"}) {
    ASSERT_TRUE(std::filesystem::exists(w->out() / name)) << name;
    EXPECT_EQ(LaidSheets(ParseSvg(ReadFile(w->out() / name))).size(), 6u);
  }
}

}  // namespace
}  // namespace truepull::testing
