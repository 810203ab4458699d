// SPDX-License-Identifier: Apache-2.0
// The colours inside a pull, on maps of light made here: what is where is known exactly.
#include "detect/regions.h"

#include <gtest/gtest.h>

#include <cmath>

#include "detect/region_outlines.h"
#include "support/made_plans.h"

namespace truepull::testing {
namespace {

using namespace detect;

LinearColour Hex(const char* hex) { return *ColourOfHex(hex); }

cv::Vec3f Bgr(const LinearColour& c) {
  return {static_cast<float>(c.b), static_cast<float>(c.g), static_cast<float>(c.r)};
}

constexpr double kMapPxPerMm = 2;
constexpr double kBorder = 0.3;   // mm; a straight border that falls between two squares: 0.5.

// A sheet of two rows of three rectangles, 40 x 30 mm; `colour` gives the light at a place of a tile.
class DrawnSheet {
 public:
  template <typename Colour>
  explicit DrawnSheet(const Colour& colour, double full = 1.5) : plan(RectanglesOn(160, 110, 2, 3, 40, 30)) {
    shape = ShapePlate(plan.plates[0].outline);
    map.px_per_mm = kMapPxPerMm;
    map.light = cv::Mat(220, 320, CV_32FC3, cv::Scalar::all(1));
    sites = AllSites(plan.lattice);
    pulls.resize(sites.size());
    inks.resize(sites.size());
    for (std::size_t k = 0; k < sites.size(); ++k) {
      pulls[k].shape = &shape;
      pulls[k].pose = IdealPose(plan.lattice, sites[k]);
      pulls[k].present = true;
      inks[k].full = inks[k].solid = full;
      inks[k].strength = inks[k].coverage = 1;
    }
    for (int j = 0; j < map.light.rows; ++j) {
      for (int i = 0; i < map.light.cols; ++i) {
        const Point p{(i + 0.5) / kMapPxPerMm, (j + 0.5) / kMapPxPerMm};
        for (std::size_t k = 0; k < pulls.size(); ++k) {
          const Point in_tile = ApplyInverse(pulls[k].pose, p);
          if (Contains(shape.outline, in_tile)) map.light.at<cv::Vec3f>(j, i) = Bgr(colour(in_tile, k));
        }
      }
    }
  }
  SheetColours Measure() const { return MeasureColours(map, plan, sites, pulls, inks); }

  Plan plan;
  PlateShape shape;
  SheetMap map;
  std::vector<Site> sites;
  std::vector<Pull> pulls;
  std::vector<Ink> inks;
};

const ColourRegion* Find(const PullColours& p, RegionKind kind) {
  for (const ColourRegion& r : p.regions) {
    if (r.kind == kind) return &r;
  }
  return nullptr;
}

// Even-odd area of all loops.
double AreaOf(const ColourRegion& r, Point of_one_inside) {
  double area = 0;
  int round_it = 0;
  for (const Outline& o : r.outlines) round_it += Contains(o, of_one_inside);
  EXPECT_EQ(round_it % 2, 1);
  for (const Outline& o : r.outlines) {
    int around = 0;   // How many others lie round this one: odd, and it is a hole.
    for (const Outline& other : r.outlines) around += &other != &o && Contains(other, o.front());
    area += (around % 2 == 0 ? 1 : -1) * std::abs(SignedArea(o));
  }
  return area;
}

TEST(ColourRegions, BodyBandAndABarePatchHaveTheirPlacesAreasAndColours) {
  // A band 2 mm wide, and a bare disc of 5 mm radius in the right half.
  const DrawnSheet sheet([](Point p, std::size_t) {
    const bool band = std::abs(p.x) > 18 || std::abs(p.y) > 13;
    if (Norm(p - Point{8, 2}) < 5) return LinearColour{1, 1, 1};
    return band ? Hex("#3a2a20") : Hex("#3a62a8");
  });
  const SheetColours found = sheet.Measure();
  ASSERT_EQ(found.pulls.size(), 6U);
  EXPECT_TRUE(found.drawings.empty());
  for (std::size_t k = 0; k < 6; ++k) {
    const PullColours& p = found.pulls[k];
    EXPECT_EQ(p.site, sheet.sites[k]);
    ASSERT_EQ(p.regions.size(), 3U);
    const ColourRegion* body = Find(p, RegionKind::kBody);
    const ColourRegion* edge = Find(p, RegionKind::kEdge);
    const ColourRegion* bare = Find(p, RegionKind::kBare);
    ASSERT_TRUE(body && edge && bare);
    // Areas: 36 x 26 less the disc; 40 x 30 less 36 x 26; 25 pi. kBorder all along the borders (the
    // band's inner side is 124 mm long, the disc 31) is what squares of 0.5 mm can be off.
    const double disc = 25 * 3.14159265;
    EXPECT_NEAR(body->area_mm2, 36 * 26 - disc, kBorder * (124 + 31));
    EXPECT_NEAR(edge->area_mm2, 40 * 30 - 36 * 26, kBorder * 124);
    EXPECT_NEAR(bare->area_mm2, disc, kBorder * 31);
    const auto on_sheet = [&](Point q) { return Apply(sheet.pulls[k].pose, q); };
    EXPECT_NEAR(AreaOf(*body, on_sheet({-8, 0})), body->area_mm2, kBorder * 155);
    EXPECT_NEAR(AreaOf(*edge, on_sheet({-19, 0})), edge->area_mm2, kBorder * 140);
    EXPECT_NEAR(AreaOf(*bare, on_sheet({8, 2})), bare->area_mm2, kBorder * 31);
    for (const Outline& o : bare->outlines) {
      for (const Point& q : o) EXPECT_NEAR(Norm(q - on_sheet({8, 2})), 5, 0.5);
    }
    // Flat colours come back as they are. The body is the plan's first colour.
    EXPECT_LT(ColourDifference(body->lab, LabOf(Hex("#3a62a8"))), 0.5);
    EXPECT_LT(ColourDifference(edge->lab, LabOf(Hex("#3a2a20"))), 1.5);
    EXPECT_LT(ColourDifference(bare->lab, {100, 0, 0}), 0.5);
    EXPECT_EQ(body->colour, 0);
    EXPECT_LT(body->sd.L, 2);
    EXPECT_LT(p.left_out, 0.03);
  }
}

TEST(ColourRegions, AColourThatThePlanDoesNotHaveIsUnknown) {
  // The plan has #3a62a8 (blue) and #c9782e (orange).
  const char* const inks[] = {"#3a62a8", "#c9782e", "#2f7d4a", "#8c2f6b", "#d8c13a", "#555555"};
  const int expected[] = {0, 1, -1, -1, -1, -1};
  const DrawnSheet sheet([&](Point, std::size_t k) { return Hex(inks[k]); }, 1.0);
  const SheetColours found = sheet.Measure();
  for (std::size_t k = 0; k < 6; ++k) {
    ASSERT_EQ(found.pulls[k].regions.size(), 1U) << inks[k];
    EXPECT_EQ(found.pulls[k].regions[0].colour, expected[k]) << inks[k];
    // The whole tile is one colour and covered; no pull has cells that are bare.
    EXPECT_NEAR(found.pulls[k].regions[0].area_mm2, 1200, 30);
    for (const std::string& row : found.pulls[k].cover) EXPECT_EQ(row.find_first_not_of("9."), std::string::npos);
  }
}

TEST(ColourRegions, AFurtherColourRubbedIntoThePlateStandsApart) {
  const DrawnSheet sheet([](Point p, std::size_t) { return p.x > 4 ? Hex("#c9782e") : Hex("#3a62a8"); });
  for (const PullColours& p : sheet.Measure().pulls) {
    ASSERT_EQ(p.regions.size(), 2U);
    EXPECT_EQ(p.regions[0].kind, RegionKind::kBody);
    EXPECT_EQ(p.regions[0].colour, 0);
    EXPECT_EQ(p.regions[1].kind, RegionKind::kOther);
    EXPECT_EQ(p.regions[1].colour, 1);
    EXPECT_NEAR(p.regions[1].area_mm2, 16 * 30, 0.5 * 30);
  }
}

TEST(ColourRegions, CommonLinesAreADrawingAndSpecksAreLeftOutWithTheirShare) {
  // A wavy scratch, 1 mm wide, in every pull; specks of 1 mm2 in another place of each.
  const DrawnSheet sheet([](Point p, std::size_t k) {
    if (std::abs(p.y - 4 * std::sin(p.x / 4)) < 0.5 && std::abs(p.x) < 12) return LinearColour{1, 1, 1};
    const double u = std::fmod(p.x + 40 + 1.7 * static_cast<double>(k), 8), v = std::fmod(p.y + 40 + 1.3 * static_cast<double>(k), 8);
    if (u < 1 && v < 1) return LinearColour{1, 1, 1};
    return Hex("#3a62a8");
  });
  const SheetColours found = sheet.Measure();
  ASSERT_EQ(found.drawings.size(), 1U);
  EXPECT_EQ(found.drawings[0].plate, 0);
  for (const Outline& o : found.drawings[0].outlines) {
    for (const Point& q : o) {
      EXPECT_LT(std::abs(q.x), 13);
      EXPECT_LT(std::abs(q.y), 5.5);
    }
  }
  for (const PullColours& p : found.pulls) {
    const ColourRegion* drawing = Find(p, RegionKind::kDrawing);
    ASSERT_TRUE(drawing);
    EXPECT_GT(drawing->lab.L, 85);
    // The sine's length over +-12 mm is 32.1 mm (worked out numerically); 1 mm wide across y.
    EXPECT_NEAR(drawing->area_mm2, 24, 10);
    EXPECT_FALSE(Find(p, RegionKind::kBare));
  }
}

TEST(ColourRegions, ARingThatClosesOnlyByACornerEnclosesNothing) {
  // A ring of squares 2 wide round 6 x 6 others; with its corner cut, inside and outside touch.
  for (const bool cut : {false, true}) {
    cv::Mat field(14, 14, CV_32F, cv::Scalar(-1));
    field(cv::Rect(2, 2, 10, 10)).setTo(1);
    field(cv::Rect(4, 4, 6, 6)).setTo(-1);
    if (cut) field(cv::Rect(2, 2, 2, 2)).setTo(-1);
    TileGrid grid;
    grid.step_mm = 1;
    double area = 0;
    const std::vector<Outline> loops = LoopsOf(field, grid, 0.01, 0.5);
    ASSERT_EQ(loops.size(), cut ? 1U : 2U);
    for (const Outline& o : loops) area = std::abs(std::abs(SignedArea(o)) - area);
    // 100 - 36 squares, or 60 with the corner cut; each of up to 12 corners is cut by an eighth.
    EXPECT_NEAR(area, cut ? 60 : 64, 1.5);
  }
}

TEST(ColourRegions, ASmallOrAbsentPullGivesNothingAndNothingBreaks) {
  DrawnSheet sheet([](Point, std::size_t) { return Hex("#3a62a8"); });
  sheet.pulls[0].present = false;
  sheet.pulls[1].pose.at = {159.9, 109.9};   // Nearly off the sheet.
  sheet.inks[1].on_sheet = false;
  const SheetColours found = sheet.Measure();
  ASSERT_EQ(found.pulls.size(), 5U);
  EXPECT_EQ(found.pulls[0].site, sheet.sites[1]);
}

}  // namespace
}  // namespace truepull::testing
