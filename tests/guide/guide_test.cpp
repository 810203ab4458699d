// SPDX-License-Identifier: Apache-2.0
#include "truepull/guide.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "guide/clearance.h"
#include "support/guides.h"

namespace truepull::testing {
namespace {

using ::testing::HasSubstr;

std::vector<Segment> Edges(const Outline& outline) {
  std::vector<Segment> out;
  for (std::size_t i = 0; i < outline.size(); ++i) out.push_back({outline[i], outline[(i + 1) % outline.size()]});
  return out;
}

TEST(TickPoints, StandAsFarApartAsTheOutlineAllows) {
  const auto rectangle = TickPoints(Outline{{0, 0}, {60, 0}, {60, 45}, {0, 45}});
  ASSERT_EQ(rectangle.size(), 2u);  // Its two diagonals, 75 mm each.
  for (const auto& pair : rectangle) EXPECT_NEAR(Norm(pair[0] - pair[1]), 75, 1e-12);
  // A long triangle: only its longest side will do.
  const auto triangle = TickPoints(Outline{{0, 0}, {80, 0}, {10, 12}});
  ASSERT_EQ(triangle.size(), 1u);
  EXPECT_NEAR(Norm(triangle[0][0] - triangle[0][1]), 80, 1e-12);
  // A star: points on its hull, never a notch.
  Outline star;
  for (int i = 0; i < 10; ++i) star.push_back(Rotation(0.6283185307 * i) * Point{i % 2 == 0 ? 30.0 : 14.0, 0});
  for (const auto& pair : TickPoints(star)) {
    for (const Point p : pair) EXPECT_NEAR(Norm(p), 30, 1e-9);
  }
}

// Everything on the densest sheet: labels and ticks find room.
TEST(BuildGuide, KeepsLabelsAndTicksApartOnADenseLattice) {
  for (const bool mirrored : {false, true}) {
    const Plan plan = DensePlan();
    const Guide guide = GuideOf(plan, mirrored);
    std::map<std::string, Outline> outlines;
    std::vector<std::pair<std::string, Box>> labels;
    for (const Mark& m : guide.marks) {
      if (m.role == MarkRole::kOutline) outlines[m.group] = std::get<PathMark>(m.what).points;
      if (m.role == MarkRole::kLabel) {
        EXPECT_GE(std::get<TextMark>(m.what).cap_mm, 5);
        labels.emplace_back(m.group, TextBox(std::get<TextMark>(m.what)));
      }
    }
    ASSERT_EQ(labels.size(), 150u);
    double from_ticks = 100, from_outlines = 100, from_labels = 100;
    for (const auto& [group, box] : labels) {
      const Point middle{(box.left + box.right) / 2, (box.top + box.bottom) / 2};
      EXPECT_TRUE(Contains(outlines[group], middle)) << group;
      for (const SiteTick& t : guide.ticks) from_ticks = std::min(from_ticks, Distance(box, Segment{t.from, t.to}));
      for (const auto& [other, outline] : outlines) {
        for (const Segment& s : Edges(outline)) from_outlines = std::min(from_outlines, Distance(box, s));
      }
      for (const auto& [other, second] : labels) {
        if (other == group) continue;
        for (const Segment& s : Edges({{second.left, second.top}, {second.right, second.top},
                                       {second.right, second.bottom}, {second.left, second.bottom}})) {
          from_labels = std::min(from_labels, Distance(box, s));
        }
      }
    }
    // The bound on a label's width is generous, so the ink keeps further away than this.
    EXPECT_GE(from_ticks, 1.0);
    EXPECT_GE(from_outlines, 0.8);
    EXPECT_GE(from_labels, 3.0);
  }
}

TEST(BuildGuide, GivesEverySiteTwoTicksExceptThoseLeftAlone) {
  const Plan plan = RectanglePlan(3, 4);
  const Guide guide = GuideOf(plan);
  std::map<Site, int> count;
  for (const SiteTick& t : guide.ticks) ++count[t.site];
  EXPECT_EQ(count.size(), 11u);
  EXPECT_EQ(count.count(Site{1, 2}), 0u);  // The seventh is left alone.
  for (const auto& [site, n] : count) EXPECT_EQ(n, 2);
}

TEST(BuildGuide, MirrorsPlacesAndNeverWords) {
  const Plan plan = RectanglePlan(3, 4);
  const Guide plain = GuideOf(plan, false), mirrored = GuideOf(plan, true);
  const auto labels = [](const Guide& guide) {
    std::map<std::string, double> out;
    for (const Mark& m : guide.marks) {
      if (m.role == MarkRole::kLabel) out[std::get<TextMark>(m.what).text] = std::get<TextMark>(m.what).at.x;
    }
    return out;
  };
  const auto a = labels(plain), b = labels(mirrored);
  ASSERT_EQ(a.size(), 12u);
  // The sign stands at a label's right either way, so the label's own middle is 2.8 mm to
  // the left of the two; room may differ a little.
  for (const auto& [text, x] : a) EXPECT_NEAR(b.at(text) + 2.8, 420 - (x + 2.8), 2.0) << text;
  EXPECT_EQ(plain.words.face, "SEEN FROM THE PRINTED FACE");
  EXPECT_EQ(mirrored.words.face + " " + mirrored.words.face_detail,
            "MIRRORED: for the plate's printing face or the back of the sheet");
}

TEST(BuildGuide, TellsActionsApartWithoutColour) {
  const Plan plan = RectanglePlan(3, 4);
  const Guide guide = GuideOf(plan);
  std::map<std::string, Dash> dash;
  std::map<std::string, int> sign_points;
  for (const Mark& m : guide.marks) {
    if (m.role == MarkRole::kOutline) dash[m.group] = std::get<PathMark>(m.what).dash;
  }
  std::set<Dash> seen{dash["site-0-0"], dash["site-0-2"], dash["site-1-0"], dash["site-1-2"]};
  EXPECT_EQ(seen.size(), 4u);
  std::string words;
  for (const Mark& m : guide.marks) {
    if (m.role == MarkRole::kSign && std::holds_alternative<TextMark>(m.what)) words += std::get<TextMark>(m.what).text + " ";
  }
  EXPECT_EQ(words, "look strengthen leave ");
}

TEST(BuildGuide, ShowsTheFirstImpressionOnlyWhereItDiffers) {
  Plan plan = RectanglePlan(1, 2);
  plan.lattice.across = {65, 0};  // A gutter: lines of different sites keep apart.
  const auto placements = PlaceFirstPass(plan);
  GuideRequest request;
  request.state = StateAtPull(plan, SheetState::kDry, SheetState::kDry);
  request.first_impressions = {placements[0].place, Pose{placements[1].place.at + Point{0.5, 0}, 0}};
  int found = 0;
  for (const Mark& m : BuildGuide(plan, placements, request).marks) {
    if (m.role != MarkRole::kFound) continue;
    ++found;
    EXPECT_EQ(m.group, "site-0-1");
    EXPECT_NEAR(std::get<PathMark>(m.what).points[0].x, 95.5, 1e-12);
  }
  EXPECT_EQ(found, 1);
}

}  // namespace
}  // namespace truepull::testing
