// SPDX-License-Identifier: Apache-2.0
// Tiles that touch and interlock: what is drawn of them, and what is said of moves.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "guide/clearance.h"
#include "guide/crowding.h"
#include "guide/moves.h"
#include "guide/offset.h"
#include "support/guides.h"

namespace truepull::testing {
namespace {

// Wavy tiles that interlock: each side a wave, opposite sides alike.
Plan WavyPlan(double size) {
  Plan plan = RectanglePlan(5, 6);
  Outline outline;
  const auto side = [&](Point from, Point to) {
    const Point d = to - from, normal{-d.y, d.x};
    for (int i = 0; i < 40; ++i) {
      const double t = i / 40.0;
      outline.push_back(from + t * d + (0.12 * std::sin(2 * std::numbers::pi * t)) * normal);
    }
  };
  const double h = size / 2;
  side({-h, -h}, {h, -h});
  side({h, -h}, {h, h});
  side({h, h}, {-h, h});
  side({-h, h}, {-h, -h});
  plan.plates[0].outline = outline;
  plan.lattice.origin = {60, 60};
  plan.lattice.across = {size, 0};
  plan.lattice.down = {0, size};
  return plan;
}

double LeastBetweenSites(const Guide& guide) {
  struct Drawn {
    std::string group;
    Segment line;
    double half;
  };
  std::vector<Drawn> lines;
  for (const Mark& m : guide.marks) {
    const auto* path = std::get_if<PathMark>(&m.what);
    if (path == nullptr || m.group.empty() || m.hidden || path->filled || m.role == MarkRole::kSign || m.role == MarkRole::kMove) continue;
    for (std::size_t i = 0; i + (path->closed ? 0 : 1) < path->points.size(); ++i) {
      lines.push_back({m.group, {path->points[i], path->points[(i + 1) % path->points.size()]}, path->width_mm / 2});
    }
  }
  double least = 100;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t j = i + 1; j < lines.size(); ++j) {
      if (lines[i].group != lines[j].group) {
        const double d = Distance(lines[i].line, lines[j].line) - lines[i].half - lines[j].half;
        if (d < 1.4) std::printf("%s %.2f,%.2f - %s %.2f,%.2f: %.2f (%.2f %.2f)\n", lines[i].group.c_str(), lines[i].line.a.x, lines[i].line.a.y, lines[j].group.c_str(), lines[j].line.a.x, lines[j].line.a.y, d, lines[i].half, lines[j].half);
        least = std::min(least, d);
      }
    }
  }
  return least;
}

TEST(Crowding, LinesOfDifferentSitesNeverRunTogether) {
  for (const Plan& plan : {RectanglePlan(5, 6), WavyPlan(40), WavyPlan(26)}) {
    for (const GuideUse use : {GuideUse::kGeneral, GuideUse::kUnder, GuideUse::kOver, GuideUse::kBack, GuideUse::kStops}) {
      GuideRequest request;
      request.use = use;
      request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
      const Guide guide = BuildGuide(plan, ScatteredPlacements(plan, 0.6, 0.01), request);
      EXPECT_TRUE(guide.crowded);
      EXPECT_GE(LeastBetweenSites(guide), kLinesApartMm - 0.02) << UseLookOf(use).name;
      // Every site that is pulled has pieces or ticks, and its whole outline for programs.
      std::set<std::string> drawn, whole;
      for (const Mark& m : guide.marks) {
        if (m.role == MarkRole::kTick || m.role == MarkRole::kCorner) drawn.insert(m.group);
        if (m.role == MarkRole::kOutline) whole.insert(m.group);
      }
      EXPECT_EQ(whole.size(), 30u);
      EXPECT_GE(drawn.size(), 29u);  // One is left alone.
    }
  }
}

TEST(Crowding, PiecesLieOnTheOutlineTheyStandFor) {
  const Guide guide = GuideOf(WavyPlan(40));
  std::map<std::string, Outline> outlines;
  for (const Mark& m : guide.marks) {
    if (m.role == MarkRole::kOutline) outlines[m.group] = std::get<PathMark>(m.what).points;
  }
  int points = 0;
  for (const Mark& m : guide.marks) {
    if (m.role != MarkRole::kCorner) continue;
    for (const Point p : std::get<PathMark>(m.what).points) {
      EXPECT_NEAR(SignedDistance(outlines.at(m.group), p), 0, 0.02);
      ++points;
    }
  }
  EXPECT_GT(points, 500);
}

TEST(Crowding, SitesWithAGutterKeepTheirWholeOutlines) {
  Plan plan = RectanglePlan(3, 4);
  plan.lattice.across = {66, 0};
  plan.lattice.down = {0, 51};
  const Guide guide = GuideOf(plan);
  EXPECT_FALSE(guide.crowded);
  for (const Mark& m : guide.marks) {
    EXPECT_FALSE(m.hidden);
    EXPECT_NE(m.role, MarkRole::kCorner);
  }
}

TEST(BuildGuideParts, PutsEverySiteOnOnePartWhereNothingComesNearIt) {
  const Plan plan = WavyPlan(40);
  GuideRequest request;
  request.touching = Touching::kPages;
  request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
  const auto parts = BuildGuideParts(plan, ScatteredPlacements(plan, 0.6, 0.01), request);
  EXPECT_EQ(parts.size(), 4u);  // Squares meet at corners.
  std::set<Site> sites;
  for (const Guide& part : parts) {
    EXPECT_FALSE(part.crowded);
    EXPECT_GE(LeastBetweenSites(part), kLinesApartMm);
    for (const Site s : part.sites) EXPECT_TRUE(sites.insert(s).second);
  }
  EXPECT_EQ(sites.size(), 30u);
}

TEST(Widened, MovesEverySideOutAndKeepsCornersSharp) {
  const Outline wide = Widened({{0, 0}, {60, 0}, {60, 45}, {0, 45}}, 0.4);
  const Box box = BoundingBox(wide);
  EXPECT_NEAR(box.left, -0.4, 1e-9);
  EXPECT_NEAR(box.bottom, 45.4, 1e-9);
  EXPECT_EQ(wide.size(), 4u);
  EXPECT_NEAR(SignedArea(wide), 60.8 * 45.8, 1e-6);
  // The other way round stays the other way round.
  EXPECT_NEAR(SignedArea(Widened({{0, 45}, {60, 45}, {60, 0}, {0, 0}}, 0.4)), -60.8 * 45.8, 1e-6);
}

TEST(Moves, AreRoundedToHalvesAndSaidAsSeen) {
  EXPECT_EQ(MoveWords(Rounded({0.24, -0.24}, 0.004, false)), "as it lies");
  EXPECT_EQ(MoveWords(Rounded({0.6, -1.2}, 0, false)), "0.5 right 1.0 up");
  EXPECT_EQ(MoveWords(Rounded({0.6, -1.2}, 0, true)), "0.5 left 1.0 up");
  EXPECT_EQ(MoveWords(Rounded({0, 0.3}, RadFromDeg(-0.8), false)), "0.5 down turn 1.0° ↺");
  EXPECT_EQ(MoveWords(Rounded({0, 0}, RadFromDeg(-0.8), true)), "turn 1.0° ↻");
}

TEST(LayOutPages, BlocksArePlacedByTwoFoundCornersFarApart) {
  const Plan plan = RectanglePlan(5, 6);
  const auto placements = ScatteredPlacements(plan, 0.8, 0.01);
  GuideRequest request;
  request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
  for (const Placement& p : placements) request.first_impressions.emplace_back(p.place);
  const Guide guide = BuildGuide(plan, placements, request);
  int pages = 0;
  for (const GuidePage& page : LayOutPages(guide, Paper::kA4)) {
    if (page.window.Width() == 0) continue;
    ++pages;
    std::vector<Point> rings;
    std::string words;
    for (const Mark& m : page.marks) {
      const auto* path = std::get_if<PathMark>(&m.what);
      if (m.role == MarkRole::kLocator && path != nullptr && path->closed) {  // Not the strokes towards its middle.
        const Box b = BoundingBox(std::get<PathMark>(m.what).points);
        rings.push_back(Point{(b.left + b.right) / 2, (b.top + b.bottom) / 2} - page.sheet_at);
      }
      if (const auto* t = std::get_if<TextMark>(&m.what)) words += t->text + " ";
    }
    ASSERT_EQ(rings.size(), 2u);
    EXPECT_GE(Norm(rings[0] - rings[1]), 60);
    // Each ring stands on a corner of a first impression.
    for (const Point ring : rings) {
      double nearest = 1e9;
      for (const Placement& p : placements) {
        for (const Point c : Apply(p.place, OutlineAt(plan, p.site))) nearest = std::min(nearest, Norm(c - ring));
      }
      EXPECT_LT(nearest, 1e-6);
    }
    EXPECT_NE(words.find("Place this page: ring P on the "), std::string::npos);
    EXPECT_EQ(words.find("page 60 mm"), std::string::npos);
  }
  EXPECT_EQ(pages, 4);
}

// Squares that touch: every corner in the middle of the sheet is also a stop point of some site.
TEST(LayOutPages, RingsKeepOffTheStopPointsThatAPageShows) {
  Plan plan = RectanglePlan(10, 12);
  plan.sheet.width_mm = 594;
  plan.sheet.height_mm = 420;
  plan.plates[0].outline = {{-22, -18}, {22, -18}, {22, 18}, {-22, 18}};
  plan.lattice.origin = {55, 48};
  plan.lattice.across = {44, 0};
  plan.lattice.down = {0, 36};
  const auto placements = ScatteredPlacements(plan, 0.6, 0.01);
  GuideRequest request;
  request.use = GuideUse::kOver;
  request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
  for (const Placement& p : placements) request.first_impressions.emplace_back(p.place);
  const Guide guide = BuildGuide(plan, placements, request);
  int rings = 0, stops = 0;
  for (const Paper paper : {Paper::kA4, Paper::kA3}) {
    for (const GuidePage& page : LayOutPages(guide, paper)) {
      if (page.window.Width() == 0) continue;
      std::vector<Point> ring, stop;
      for (const Mark& m : page.marks) {
        const auto* path = std::get_if<PathMark>(&m.what);
        if (path == nullptr || !path->closed) continue;
        const Box b = BoundingBox(path->points);
        const Point middle{(b.left + b.right) / 2, (b.top + b.bottom) / 2};
        if (m.role == MarkRole::kLocator) ring.push_back(middle);
        if (m.role == MarkRole::kStop) stop.push_back(middle);
      }
      for (const Point r : ring) {
        for (const Point s : stop) EXPECT_GT(Norm(r - s), 4) << page.label;
      }
      rings += static_cast<int>(ring.size()), stops += static_cast<int>(stop.size());
    }
  }
  EXPECT_GE(rings, 20);
  EXPECT_GT(stops, 400);
}

// A large sheet's masks come in blocks, each mask's own: the words have a map for every one.
TEST(LayOutPages, EveryMaskThatIsSplitHasItsMap) {
  const Plan plan = RectanglePlan(5, 6);
  const auto placements = ScatteredPlacements(plan, 0.3, 0.005);
  GuideRequest request;
  request.use = GuideUse::kMask;
  request.state = StateAtPull(plan, SheetState::kUnknown, SheetState::kUnknown);
  for (const Placement& p : placements) request.first_impressions.emplace_back(p.place);
  const auto parts = BuildGuideParts(plan, placements, request);
  ASSERT_GT(parts.size(), 1u);
  std::multiset<int> on_maps;
  std::set<int> sheets;
  const auto pages = LayOutPages(parts, PageOptions(Paper::kA4, PageSplit::kFeatures));
  for (std::size_t i = 0; i < pages.size(); ++i) {
    if (pages[i].window.Width() != 0) {
      sheets.insert(static_cast<int>(i) + 1);
      continue;
    }
    for (const Mark& m : pages[i].marks) {
      const auto* t = std::get_if<TextMark>(&m.what);
      if (m.role == MarkRole::kMap && t != nullptr) on_maps.insert(std::stoi(t->text));
    }
  }
  EXPECT_EQ(on_maps.size(), sheets.size());
  EXPECT_EQ(std::set<int>(on_maps.begin(), on_maps.end()), sheets);
}

TEST(LayOutPages, ACorrectedPageIsThePapersSizeWithMarksInTrueMillimetres) {
  PageOptions options(Paper::kA4);
  options.scale_x = 200 / 198.5;
  options.scale_y = 200 / 199.2;
  for (const GuidePage& page : LayOutPages(GuideOf(RectanglePlan(5, 6)), options)) {
    EXPECT_NEAR(page.width_mm, 297, 1e-9);
    EXPECT_NEAR(page.height_mm, 210, 1e-9);
    for (const Mark& m : page.marks) {
      if (m.hidden) continue;
      const Box b = std::holds_alternative<TextMark>(m.what) ? TextBox(std::get<TextMark>(m.what))
                                                              : BoundingBox(std::get<PathMark>(m.what).points);
      EXPECT_LE(b.right * page.scale_x, page.width_mm - 7.5);
      EXPECT_LE(b.bottom * page.scale_y, page.height_mm - 7.5);
    }
  }
}

}  // namespace
}  // namespace truepull::testing
