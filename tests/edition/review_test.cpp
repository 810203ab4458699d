// SPDX-License-Identifier: Apache-2.0
// Known faults in made-up editions, told apart.
#include "truepull/edition.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "edition/made_editions.h"
#include "truepull/colour.h"

namespace truepull::testing {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::StartsWith;

// What a fit of the 60 x 45 outline to a plate that is short on its right side gives: the
// place lies off by half of it, x = -short / 2 (minimise the sum over the edge of
// (m_x x + m_y y - d)^2, d = -short on the right side, 0 elsewhere), and the edge is left inside
// the outline by the other half both on the right (d - x = -short / 2) and on the left (0 - (-x)).
void PrintWithAShortPlate(EditionSheet& s, double short_mm, bool with_edges, std::mt19937_64& random) {
  for (SiteReading& r : s.reading.sheet.sites) {
    r.found.at = r.found.at + Rotation(IdealPose(s.reading.plan.lattice, r.site).turn_rad) * Point{-short_mm / 2, 0};
  }
  if (!with_edges) return;
  std::normal_distribution<double> noise(0, 0.03);
  PlateEdges edges;
  // 42 stretches of 5 mm: 12 along the top, 9 down the right, 12 along the bottom, 9 up the left.
  for (int k = 0; k < 42; ++k) {
    const bool right = k >= 12 && k < 21, left = k >= 33;
    edges.out_mm.push_back((right || left ? -short_mm / 2 : 0) + noise(random));
    edges.sd_mm.push_back(0.03);
  }
  for (SiteReading& r : s.reading.sheet.sites) r.growth_mm = 0.05;
  s.reading.sheet.plate_edges = {edges};
}

TEST(Review, NamesAShortPlateWithSideAndSizeAndNotThePlacing) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    std::mt19937_64 random(seed);
    MadeEdition made;
    made.plan = AlternatingPlan();
    made.sheets = 1;  // 20 sites.
    made.seed = seed;
    made.change = [&](int, EditionSheet& s) { PrintWithAShortPlate(s, 0.8, true, random); };
    const EditionReview review = ReviewEdition(Make(made), {});
    ASSERT_FALSE(review.plates.empty());
    const PlateFault& f = review.plates[0];
    ASSERT_TRUE(f.found) << "seed " << seed << ", p " << f.test.p;
    EXPECT_EQ(f.sides[0].side, "right");
    EXPECT_NEAR(f.sides[0].out_mm, -0.8, 0.2) << "seed " << seed;
    EXPECT_LT(f.sides[0].sd_mm, 0.12);
    EXPECT_EQ(review.reviews[0].cause, Cause::kPlate);
    EXPECT_THAT(review.reviews[0].main_habit, HasSubstr("too short on its right side"));
    // The hand keeps its own spread.
    EXPECT_NEAR(review.reviews[0].hand_sd_mm, 0.25, 0.12);
  }
}

TEST(Review, KnowsAShortPlateFromPlacesAlone) {
  std::mt19937_64 random(1);
  MadeEdition made;
  made.plan = AlternatingPlan();
  made.sheets = 6;
  made.change = [&](int, EditionSheet& s) { PrintWithAShortPlate(s, 0.8, false, random); };
  const EditionReview review = ReviewEdition(Make(made), {});
  const PlateFault& f = review.plates[0];
  ASSERT_TRUE(f.found);
  EXPECT_EQ(f.sides[0].side, "right");
  EXPECT_NEAR(f.sides[0].out_mm, -0.8, 0.2);
  EXPECT_THAT(f.words, HasSubstr("or as much too long on the opposite side"));
  EXPECT_EQ(review.reviews[3].cause, Cause::kPlate);
}

TEST(Review, DoesNotTellAPlateFromAShiftWhereAllTilesStandAlike) {
  MadeEdition made;
  made.change = [](int, EditionSheet& s) { Move(s, [](Site, Point) { return Point{0.8, 0}; }); };
  const EditionReview review = ReviewEdition(Make(made), {});
  EXPECT_FALSE(review.plates[0].told_apart);
  EXPECT_FALSE(review.plates[0].found);
  EXPECT_TRUE(review.reviews[0].shifted);
  EXPECT_EQ(review.reviews[0].cause, Cause::kStop);
  EXPECT_THAT(review.reviews[0].main_habit, HasSubstr("to the right of their places"));
}

TEST(Review, NamesABlockThatIsOffAtOneSiteOfEverySheet) {
  int extra = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.seed = seed;
    made.lay_mm = 0.05;
    made.change = [](int, EditionSheet& s) {
      Move(s, [](Site site, Point) { return site == Site{1, 3} ? Point{0.36, -0.48} : Point{}; });  // 0.6 mm.
    };
    const EditionReview review = ReviewEdition(Make(made), {});
    ASSERT_FALSE(review.blocks.empty()) << "seed " << seed;
    EXPECT_EQ(review.blocks[0].site, (Site{1, 3}));
    EXPECT_NEAR(review.blocks[0].shift.x, 0.36, 0.3);
    EXPECT_NEAR(review.blocks[0].shift.y, -0.48, 0.3);
    EXPECT_GE(review.blocks[0].sheets, 11);  // A site that slipped besides is left out of a sheet's fit.
    extra += static_cast<int>(review.blocks.size()) - 1;
    int block = 0;
    for (const SheetReview& r : review.reviews) block += r.cause == Cause::kBlock;
    EXPECT_GE(block, 10) << "seed " << seed;
    EXPECT_FALSE(review.plates[0].found);
  }
  EXPECT_LE(extra, 1);
}

TEST(Review, CallsGrowthAcrossAKnownGrainPaperAndNoSiteOut) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.seed = seed;
    made.plan.sheet.grain = Grain::kX;
    made.hand_mm = 0.15, made.hand_rad = 0.003;   // Nowhere near 1 mm and 1 degree.
    made.change = [&](int, EditionSheet& s) {
      const Point c = LatticeCentre(s.reading.plan.lattice);
      Move(s, [&](Site, Point at) { return Point{0.002 * (at.x - c.x), 0.02 * (at.y - c.y)}; });
    };
    const EditionReview review = ReviewEdition(Make(made), {});
    ASSERT_EQ(review.growths.size(), 1u);
    EXPECT_EQ(review.growths[0].cause, Cause::kPaper);
    EXPECT_EQ(review.growths[0].sheets, 12);
    for (const SheetReview& r : review.reviews) {
      EXPECT_EQ(r.cause, Cause::kPaper) << r.main_habit;
      EXPECT_NEAR(100 * r.stretch_across, 2, 0.5);
      EXPECT_NEAR(100 * r.stretch_along, 0.2, 0.4);
      EXPECT_EQ(r.drift.beyond_hand, 0);
      EXPECT_EQ(r.beyond, "");
    }
    EXPECT_THAT(review.blocks, IsEmpty());
  }
}

void Creep(EditionSheet& s, double mm) {
  Move(s, [&](Site site, Point) { return Point{mm * site.column, 0}; });
}

TEST(Review, CallsErrorThatPilesUpFromAFixedFirstColumnCreep) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.seed = seed;
    made.sheets = 5;
    made.change = [](int, EditionSheet& s) { Creep(s, 0.6); };
    const EditionReview review = ReviewEdition(Make(made), {});
    ASSERT_EQ(review.growths.size(), 1u);
    EXPECT_EQ(review.growths[0].cause, Cause::kCreep) << "seed " << seed;
    for (const SheetReview& r : review.reviews) {
      EXPECT_EQ(r.cause, Cause::kCreep) << r.main_habit;
      EXPECT_NEAR(r.creep_column_mm, 0.6, 0.2);
      EXPECT_NEAR(r.creep_row_mm, 0, 0.2);
      EXPECT_THAT(r.main_habit, HasSubstr("to the right each step"));
    }
  }
}

TEST(Review, SaysPaperOrCreepWhereNothingTells) {
  // As much growth, but about the middle, the grain not known.
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.seed = seed;
    made.change = [](int, EditionSheet& s) {
      const Point c = LatticeCentre(s.reading.plan.lattice);
      Move(s, [&](Site, Point at) { return Point{0.01 * (at.x - c.x), 0}; });
    };
    const EditionReview review = ReviewEdition(Make(made), {});
    ASSERT_EQ(review.growths.size(), 1u);
    EXPECT_EQ(review.growths[0].cause, Cause::kPaperOrCreep);
    for (const SheetReview& r : review.reviews) {
      EXPECT_EQ(r.cause, Cause::kPaperOrCreep) << r.main_habit;
      EXPECT_EQ(r.confidence, "cannot tell");
    }
  }
  // One sheet with a fixed start is no proof either.
  MadeEdition one;
  one.sheets = 1;
  one.change = [](int, EditionSheet& s) { Creep(s, 0.6); };
  EXPECT_EQ(ReviewEdition(Make(one), {}).reviews[0].cause, Cause::kPaperOrCreep);
}

TEST(Review, CallsGrowthAlongTheGrainCreep) {
  MadeEdition made;
  made.plan.sheet.grain = Grain::kX;
  made.change = [](int, EditionSheet& s) {
    const Point c = LatticeCentre(s.reading.plan.lattice);
    Move(s, [&](Site, Point at) { return Point{0.01 * (at.x - c.x), 0}; });
  };
  EXPECT_EQ(ReviewEdition(Make(made), {}).growths.at(0).cause, Cause::kCreep);
}

TEST(Review, DatesAStopThatMoved) {
  int more = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.seed = seed;
    made.sheets = 15;
    made.change = [](int k, EditionSheet& s) {
      if (k >= 9) Move(s, [](Site, Point) { return Point{0, 1.5}; });
    };
    const EditionReview review = ReviewEdition(Make(made), {});
    ASSERT_FALSE(review.steps.empty()) << "seed " << seed;
    const EditionStep* largest = &review.steps[0];
    for (const EditionStep& s : review.steps) {
      if (s.step.behind.y - s.step.before.y > largest->step.behind.y - largest->step.before.y) largest = &s;
    }
    EXPECT_THAT(largest->after_order, ::testing::AnyOf(9, 10)) << "seed " << seed;
    EXPECT_THAT(largest->words, HasSubstr(" mm down: a stop or the tape may have moved"));
    EXPECT_NEAR(largest->step.behind.y - largest->step.before.y, 1.5, 0.4);
    EXPECT_TRUE(review.needs_a_look);
    more += static_cast<int>(review.steps.size()) - 1;
  }
  EXPECT_LE(more, 2);  // Both sides are searched at 1 %: 0.4 to be expected.
}

TEST(Review, TellsAJumpedAWeakAndABlurredSheetApart) {
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.seed = seed;
    made.sheets = 15;
    made.change = [](int k, EditionSheet& s) {
      if (k == 4) Move(s, [](Site, Point) { return Point{1.5, 0}; });
      for (SiteReading& r : s.reading.sheet.sites) {
        if (k == 7) r.body_colour = "#9fb2d4", r.coverage = 0.6;   // The colour let down by half.
        if (k == 11) {
          for (double& v : r.covariance) v *= 400;                 // 0.6 mm each way.
        }
      }
      if (k == 11) s.blur_mm = 0.9;
    };
    EditionSettings settings;
    settings.proof = "01";
    settings.wanted = 12;
    const EditionReview review = ReviewEdition(Make(made), settings);
    const auto look = [&](std::size_t k) {
      std::string all;
      for (const std::string& s : review.reviews[k].look) all += s + "; ";
      return all;
    };
    EXPECT_THAT(look(4), HasSubstr("of the others")) << "seed " << seed;
    EXPECT_THAT(look(7), HasSubstr("paler than the others"));
    EXPECT_THAT(look(11), HasSubstr("the photo is blurred"));
    EXPECT_EQ(review.reviews[11].cause, Cause::kPhoto);
    EXPECT_TRUE(review.reviews[7].weak);
    EXPECT_FALSE(review.reviews[4].weak);
    EXPECT_FALSE(review.reviews[4].photo.found);
    EXPECT_FALSE(review.reviews[7].photo.found);
    EXPECT_THAT(look(4), Not(HasSubstr("paler")));
    EXPECT_THAT(look(7), Not(HasSubstr("mm")));
    // Beside the proof the three come last, each with its own sentence; none is called bad.
    ASSERT_EQ(review.likeness.size(), 14u);
    std::string tail;
    for (std::size_t k = 11; k < 14; ++k) tail += review.sheets[review.likeness[k].sheet].code + " " + review.likeness[k].apart + "\n";
    EXPECT_THAT(tail, HasSubstr("05 its tiles lie 1."));
    EXPECT_THAT(tail, HasSubstr("08 it prints paler than the proof"));
    EXPECT_THAT(tail, HasSubstr("12 its photo is too poor to judge by"));
    for (std::size_t k = 0; k < 11; ++k) EXPECT_EQ(review.likeness[k].apart, "") << review.sheets[review.likeness[k].sheet].code;
    for (const EditionSheet& s : review.sheets) EXPECT_EQ(s.decision, Decision::kOpen);
  }
}

TEST(Review, KeepsComparisonsToOnePaper) {
  // Two papers that lie 1.5 mm apart: no jump, because none happened within a paper.
  MadeEdition made;
  made.sheets = 16;
  made.change = [](int k, EditionSheet& s) {
    s.paper = k < 8 ? "smooth" : "rough";
    if (k >= 8) Move(s, [](Site, Point) { return Point{1.5, 0}; });
  };
  EditionSettings settings;
  settings.papers = {{"smooth", Grain::kUnknown, {}, {}}, {"rough", Grain::kUnknown, {}, {}}};
  EXPECT_THAT(ReviewEdition(Make(made), settings).steps, IsEmpty());
  for (int k = 0; k < 2; ++k) EXPECT_TRUE(ReviewEdition(Make(made), settings).steps_looked_for);
}

TEST(Review, SaysNothingOfRegisterThatIsFreeOnPurpose) {
  MadeEdition made;
  made.hand_mm = 4;
  made.change = [](int, EditionSheet& s) { Creep(s, 2); };
  EditionSettings settings;
  settings.free_register = true;
  const EditionReview review = ReviewEdition(Make(made), settings);
  EXPECT_THAT(review.growths, IsEmpty());
  EXPECT_THAT(review.steps, IsEmpty());
  for (const SheetReview& r : review.reviews) {
    EXPECT_THAT(r.habits, IsEmpty());
    EXPECT_EQ(r.cause, Cause::kNone);
    EXPECT_THAT(r.look, IsEmpty());
  }
}

TEST(Review, WorksOnOneSheetAndOnAnEmptyOne) {
  MadeEdition made;
  made.sheets = 2;
  made.change = [](int k, EditionSheet& s) {
    for (SiteReading& r : s.reading.sheet.sites) {
      if (k == 1) r.state = SiteState::kMissing;
    }
  };
  const EditionReview review = ReviewEdition(Make(made), {});
  EXPECT_EQ(review.reviews.size(), 2u);
  EXPECT_FALSE(review.reviews[1].has_hand_sd);
  EXPECT_THAT(review.reviews[1].look, ::testing::Contains("20 of 20 sites are empty"));
  EXPECT_THAT(ReviewEdition({}, {}).sheets, IsEmpty());
}

// Distances are those of the last rows twice the first rows'.
TEST(Review, SeesAHandThatScattersMoreDownTheSheet) {
  int found = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    MadeEdition made;
    made.plan = RectanglePlan(8, 6);
    made.seed = seed, made.sheets = 1, made.hand_mm = 0;
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    made.change = [&](int, EditionSheet& s) {
      Move(s, [&](Site site, Point) {
        const double sd = 0.2 + 0.1 * site.row;   // 0.2 to 0.9 mm.
        return Point{sd * normal(random), sd * normal(random)};
      });
    };
    const EditionReview review = ReviewEdition(Make(made), {});
    for (const Habit& h : review.reviews[0].habits) {
      if (h.kind != HabitKind::kScatterTrend) continue;
      ++found;
      EXPECT_THAT(h.finding, ::testing::AnyOf(HasSubstr("in the bottom rows"), HasSubstr("towards the last pulls")));
    }
  }
  EXPECT_GE(found, 16);
}

TEST(Review, DrawsRunsOfOnePaperOnlyAndMeanAndRangeOverTheSites) {
  MadeEdition made;
  made.sheets = 14;
  made.lay_rad = 0;   // A sheet's turn would add to its range.
  made.change = [](int k, EditionSheet& s) { s.paper = k % 2 == 0 ? "smooth" : "rough"; };
  EditionSettings settings;
  settings.papers = {{"smooth", Grain::kUnknown, {}, {}}, {"rough", Grain::kUnknown, {}, {}}};
  const EditionReview review = ReviewEdition(Make(made), settings);
  ASSERT_FALSE(review.series.empty());
  for (const RunSeries& s : review.series) {
    EXPECT_EQ(s.orders.size(), 7u);
    EXPECT_EQ(s.chart.values.size(), 7u);
    EXPECT_EQ(s.group, s.paper + ", first pass");
    for (const int order : s.orders) EXPECT_EQ(order % 2, s.paper == "smooth" ? 1 : 0);
  }
  int means = 0;
  for (const RunSeries& s : review.ranges) {
    if (s.name.find("mean of 20 sites") == std::string::npos) continue;
    ++means;
    // A2 of 20 is 0.180 (ASTM MNL 7); d2 of 20 is 3.735, so that the mean range of a hand of 0.25 mm is 0.93.
    EXPECT_NEAR((s.chart.upper - s.chart.lower) / 2, 0.180 * 3.735 * 0.25, 0.035);
  }
  EXPECT_EQ(means, 4);   // Two ways on two papers.
}

TEST(Review, ComparesColoursWithTheProofAsTheEyeSeesThem) {
  MadeEdition made;
  made.sheets = 8;
  made.change = [](int k, EditionSheet& s) {
    for (SiteReading& r : s.reading.sheet.sites) {
      // As light as the proof's #3a62a8 (L* 41.9), and of another hue.
      if (k == 4) r.body_colour = "#7b5992";
    }
  };
  EditionSettings settings;
  settings.proof = "01";
  const EditionReview review = ReviewEdition(Make(made), settings);
  ASSERT_EQ(review.likeness.size(), 7u);
  const Likeness& last = review.likeness.back();
  EXPECT_EQ(review.sheets[last.sheet].code, "05");
  EXPECT_THAT(last.apart, HasSubstr("its colour is another than the proof's (CIEDE2000 "));
  EXPECT_NEAR(last.colour, ColourDifference(LabOf(*ColourOfHex("#7b5992")), LabOf(*ColourOfHex("#3a62a8"))), 1e-6);
  EXPECT_GT(last.colour, 15);
  for (std::size_t k = 0; k + 1 < review.likeness.size(); ++k) EXPECT_NEAR(review.likeness[k].colour, 0, 1e-9);
}

TEST(Review, ComparesOnlySheetsOfTheProofsPlanWithIt) {
  MadeEdition made, other;
  made.sheets = 4, other.sheets = 3;
  other.plan = RectanglePlan(3, 4);
  auto sheets = Make(made);
  for (EditionSheet s : Make(other)) {
    s.code = "other " + s.code;
    sheets.push_back(s);
  }
  EditionSettings settings;
  settings.proof = "02";
  const EditionReview review = ReviewEdition(sheets, settings);
  ASSERT_EQ(review.likeness.size(), 3u);
  for (const Likeness& l : review.likeness) EXPECT_EQ(review.sheets[l.sheet].code.size(), 2u);
}

TEST(Review, JudgesGlareAsThePhotosFault) {
  MadeEdition made;
  made.sheets = 3;
  made.change = [](int k, EditionSheet& s) { s.burnt_out = k == 1 ? 0.03 : k == 2 ? 0.6 : 0; };
  const EditionReview review = ReviewEdition(Make(made), {});
  EXPECT_FALSE(review.reviews[0].photo.found);
  EXPECT_THAT(review.reviews[1].look, ElementsAre("glare hides 3.0 % of the sheet"));
  EXPECT_TRUE(review.reviews[1].photo.found);
  EXPECT_THAT(review.reviews[2].look, ElementsAre("the photo is too bright: 60 % of the sheet is burnt out"));
}

TEST(Review, SplitsTheDriftIntoItsParts) {
  std::map<std::string, double> mean;
  constexpr int kRuns = 12;
  for (unsigned seed = 1; seed <= kRuns; ++seed) {
    std::mt19937_64 random(seed);
    MadeEdition made;
    made.plan = AlternatingPlan();
    made.seed = seed;
    made.lay_mm = made.lay_rad = 0;
    made.hand_mm = 0.3;
    made.change = [&](int, EditionSheet& s) {
      PrintWithAShortPlate(s, 0.8, true, random);
      Move(s, [](Site, Point) { return Point{0, 0.7}; });
    };
    for (const Component& c : ReviewEdition(Make(made), {}).components) {
      mean[c.name] += c.rms_mm / kRuns;
      if (std::string(c.name) == "habit") {
        EXPECT_GT(c.sd_mm, 0);
      }
    }
  }
  // A plate's bias is known to 0.02 mm from one such edition, its mean over 12 to 0.006.
  EXPECT_NEAR(mean["plate"], 0.4, 0.02);
  EXPECT_NEAR(mean["habit"], 0.7, 0.03);
  EXPECT_NEAR(mean["chance of the hand"], 0.3 * std::sqrt(2.0), 0.02);
  EXPECT_NEAR(mean["measuring"], 0.03 * std::sqrt(2.0), 1e-6);
  EXPECT_NEAR(mean["block"], 0, 1e-9);
}

}  // namespace
}  // namespace truepull::testing
