// SPDX-License-Identifier: Apache-2.0
// What WritePlan writes, ParsePlan reads back as the same plan.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "support/harbour_plan.h"
#include "truepull/plan_text.h"

namespace truepull {
// Whole plans compared member by member; only the tests need it.
static bool Same(const Sheet& a, const Sheet& b) {
  return a.width_mm == b.width_mm && a.height_mm == b.height_mm && a.sd_mm == b.sd_mm && a.grain == b.grain &&
         a.stretch_along_percent == b.stretch_along_percent && a.stretch_across_percent == b.stretch_across_percent;
}
static bool Same(const Plate& a, const Plate& b) {
  return a.name == b.name && a.outline == b.outline && a.prints == b.prints &&
         a.prints_measured == b.prints_measured && a.drawing == b.drawing && a.body.has_value() == b.body.has_value() &&
         (!a.body || (a.body->left == b.body->left && a.body->top == b.body->top && a.body->right == b.body->right &&
                      a.body->bottom == b.body->bottom));
}
static bool Same(const CellMember& a, const CellMember& b) {
  return a.plate == b.plate && a.at == b.at && a.turn_rad == b.turn_rad && a.mirrored == b.mirrored;
}
static bool Same(const Pass& a, const Pass& b) {
  return a.name == b.name && a.colour == b.colour && a.opacity == b.opacity && a.outline == b.outline &&
         a.plate == b.plate && a.block_rows == b.block_rows && a.block_columns == b.block_columns &&
         a.registers_to == b.registers_to && a.kind == b.kind && a.pulled == b.pulled;
}
template <typename T>
static bool Same(const std::vector<T>& a, const std::vector<T>& b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](const T& x, const T& y) { return Same(x, y); });
}
static bool Same(const Lattice& a, const Lattice& b) {
  return a.origin == b.origin && a.across == b.across && a.down == b.down && a.rows == b.rows &&
         a.columns == b.columns && a.turns_rad == b.turns_rad && a.stagger_rows == b.stagger_rows &&
         a.stagger_columns == b.stagger_columns && Same(a.cell, b.cell) && a.fit_origin == b.fit_origin &&
         a.fit_turn == b.fit_turn && a.fit_rows == b.fit_rows && a.fit_columns == b.fit_columns;
}

namespace testing {
namespace {

class PlanMaker {
 public:
  explicit PlanMaker(unsigned seed) : random_(seed) {}

  Plan Make() {
    Plan plan;
    if (Coin()) plan.title = "Gulls \"no. 3\": \\ # \xC3\xB6, second\ttry";
    plan.sheet = {Number(100, 2000), Number(100, 2000), Coin() ? Number(0, 5) : 0,
                  static_cast<Grain>(Whole(0, 2)), {}, {}};
    if (Coin()) plan.sheet.stretch_along_percent = Number(-1, 1);
    if (Coin()) plan.sheet.stretch_across_percent = Number(0, 3);
    const int plates = Whole(1, 3);
    for (int i = 0; i < plates; ++i) {
      Plate plate;
      if (plates > 1 || Coin()) plate.name = "plate: " + std::to_string(i);
      plate.outline = Blob();
      if (Coin()) plate.prints = Number(0.1, 1);
      if (Coin()) plate.body = Box{Number(-90, -60), Number(-90, -60), Number(60, 90), Number(60, 90)};
      plan.plates.push_back(plate);
    }
    Lattice& l = plan.lattice;
    l.origin = {Number(-50, 50), Number(-50, 50)};
    l.across = {Number(20, 100), Number(-10, 10)};
    l.down = {Number(-10, 10), Number(20, 100)};
    l.rows = Whole(1, 8);
    l.columns = Whole(1, 8);
    if (Coin()) l.turns_rad = {RadFromDeg(Number(-180, 180)), RadFromDeg(Whole(0, 3) * 90), RadFromDeg(0.1)};
    if (Coin()) (Coin() ? l.stagger_rows : l.stagger_columns) = Number(-0.9, 0.9);
    if (plates > 1 || Coin()) {
      l.cell.clear();
      for (int i = Whole(1, 3); i > 0; --i) {
        l.cell.push_back({Whole(0, plates - 1), {Number(0, 50), Number(0, 50)}, RadFromDeg(Number(-360, 360)), Coin()});
      }
    }
    if (Coin()) plan.edge_colour = Colour();
    if (Coin()) plan.colours = {Colour(), Colour()};
    if (!plan.colours.empty() && Coin()) plan.colour_map = {{0, 1, 0}, {1, Whole(0, 1)}};
    if (Coin()) plan.tolerance = {Number(0.1, 3), RadFromDeg(Number(0.1, 5))};
    for (int i = 0; i < Whole(0, 3); ++i) {
      Pass pass;
      pass.name = "pass " + std::to_string(i);
      if (i > 0 && Coin()) pass.registers_to = plan.passes.back().name;
      if (Coin()) pass.colour = Colour();
      if (Coin()) pass.opacity = static_cast<Opacity>(Whole(0, 2));
      if (Coin()) pass.outline = Blob();
      pass.plate = static_cast<PassPlate>(Whole(0, 2));
      if (pass.plate == PassPlate::kBlock) pass.block_rows = Whole(1, 3), pass.block_columns = Whole(1, 3);
      pass.kind = static_cast<PassKind>(Whole(0, 3));
      pass.pulled = static_cast<SheetState>(Whole(0, 2));
      plan.passes.push_back(pass);
    }
    return plan;
  }

 private:
  double Number(double low, double high) { return std::uniform_real_distribution<>(low, high)(random_); }
  int Whole(int low, int high) { return std::uniform_int_distribution<>(low, high)(random_); }
  bool Coin() { return Whole(0, 1) == 1; }
  std::string Colour() {
    std::string colour = "#";
    for (int i = 0; i < 6; ++i) colour += "0123456789abcdef"[Whole(0, 15)];
    return colour;
  }
  // Star-shaped about its middle, so that it never crosses itself.
  Outline Blob() {
    Outline outline;
    const int n = Whole(5, 30);
    for (int i = 0; i < n; ++i) {
      const double turn = 2 * std::numbers::pi * i / n, r = Number(5, 30);
      outline.push_back({r * std::cos(turn), r * std::sin(turn)});
    }
    return outline;
  }

  std::mt19937 random_;
};

TEST(WritePlan, GivesTextThatReadsBackAsTheSamePlan) {
  for (unsigned seed = 1; seed <= 300; ++seed) {
    SCOPED_TRACE(seed);
    const Plan plan = PlanMaker(seed).Make();
    const std::string text = WritePlan(plan);
    const auto parsed = ParsePlan(text, "written.yaml");
    ASSERT_TRUE(parsed) << parsed.error().message << "\n" << text;
    const Plan& back = parsed->plan;
    EXPECT_EQ(back.title, plan.title);
    EXPECT_TRUE(Same(back.sheet, plan.sheet)) << text;
    EXPECT_TRUE(Same(back.plates, plan.plates)) << text;
    EXPECT_TRUE(Same(back.lattice, plan.lattice)) << text;
    EXPECT_EQ(back.edge_colour, plan.edge_colour);
    EXPECT_EQ(back.colours, plan.colours);
    EXPECT_EQ(back.colour_map, plan.colour_map);
    EXPECT_EQ(back.tolerance.shift_mm, plan.tolerance.shift_mm);
    EXPECT_EQ(back.tolerance.turn_rad, plan.tolerance.turn_rad);
    EXPECT_TRUE(Same(back.passes, plan.passes)) << text;
    EXPECT_EQ(WritePlan(back), text);
  }
}

TEST(WritePlan, LeavesOutWhatStandsAtItsDefault) {
  const auto parsed = ParsePlan(kHarbourPlan, "plan.yaml");
  ASSERT_TRUE(parsed);
  EXPECT_EQ(WritePlan(parsed->plan),
            "truepull: 1\n"
            "title: \"Harbour gulls\"\n"
            "sheet:\n  width: 420\n  height: 297\n"
            "tile:\n  outline: [[0, 0], [60, 0], [60, 45], [0, 45]]\n"
            "lattice:\n  origin: [30, 24]\n  across: [60, 0]\n  down: [0, 45]\n  rows: 5\n  columns: 6\n"
            "edge_colour: \"#5a3a20\"\n"
            "colours: [\"#3a62a8\", \"#7b4fa0\"]\n"
            "colour_map:\n  - [0, 1, 0, 1, 0, 1]\n"
            "tolerance: {shift: 1.5, turn: 2}\n"
            "passes:\n  - name: \"dark\"\n    colour: \"#203050\"\n");
}

}  // namespace
}  // namespace testing
}  // namespace truepull
