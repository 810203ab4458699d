// SPDX-License-Identifier: Apache-2.0
// Every shape of up to nine squares against published counts; see the table's head.
#include <gtest/gtest.h>

#include <array>
#include <fstream>
#include <map>
#include <set>
#include <sstream>

#include "truepull/tiling.h"
#include "support/places.h"

namespace truepull {
namespace {

struct Shape {
  int cells = 0;
  std::string squares, walk;
  bool hole = false, shifts = false, conway = false;
};

std::vector<Shape> Table() {
  std::ifstream file(testing::SourceFolder() + "/tests/published/polyominoes_to_9.csv");
  std::vector<Shape> shapes;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || !std::isdigit(static_cast<unsigned char>(line[0]))) continue;
    std::stringstream row(line);
    std::array<std::string, 7> cell;
    for (auto& c : cell) std::getline(row, c, ',');
    shapes.push_back({std::stoi(cell[0]), cell[1], cell[2], cell[3] == "1", cell[4] == "1",
                      cell[6][0] == '1'});
  }
  return shapes;
}

// The walk in 10 mm steps; y up in the table, down here.
Outline OutlineOf(const std::string& walk) {
  Outline outline;
  Point at;
  for (const char step : walk) {
    outline.push_back(at);
    constexpr std::array<Point, 4> kSteps{{{10, 0}, {0, -10}, {-10, 0}, {0, 10}}};
    at = at + kSteps[static_cast<std::size_t>(step - '0')];
  }
  return outline;
}

// The outline of a set of squares as one closed line, walked so that the squares are on
// its left: of a shape with a hole it either comes in two pieces or touches itself.
std::vector<Outline> EdgesOf(const std::string& squares) {
  std::set<std::pair<int, int>> cells;
  std::stringstream row(squares);
  for (std::string one; row >> one;) {
    cells.insert({std::stoi(one), std::stoi(one.substr(one.find(':') + 1))});
  }
  std::multimap<std::pair<int, int>, std::pair<int, int>> edges;
  for (const auto& [x, y] : cells) {
    if (!cells.contains({x, y - 1})) edges.insert({{x, y}, {x + 1, y}});
    if (!cells.contains({x + 1, y})) edges.insert({{x + 1, y}, {x + 1, y + 1}});
    if (!cells.contains({x, y + 1})) edges.insert({{x + 1, y + 1}, {x, y + 1}});
    if (!cells.contains({x - 1, y})) edges.insert({{x, y + 1}, {x, y}});
  }
  std::vector<Outline> loops;
  while (!edges.empty()) {
    Outline loop;
    for (auto it = edges.begin(); it != edges.end();) {
      loop.push_back({10.0 * it->first.first, 10.0 * it->first.second});
      const auto next = it->second;
      edges.erase(it);
      it = edges.find(next);
    }
    loops.push_back(loop);
  }
  return loops;
}

TEST(PolyominoTable, EveryShapeGetsThePublishedAnswer) {
  std::map<int, std::array<int, 5>> counts;  // shapes, holes, shifts, both, Conway only
  for (const Shape& shape : Table()) {
    SCOPED_TRACE(shape.squares);
    auto& count = counts[shape.cells];
    ++count[0];
    if (shape.hole) {
      ++count[1];
      // No single closed line that neither crosses nor touches itself goes round it.
      const auto loops = EdgesOf(shape.squares);
      EXPECT_TRUE(loops.size() > 1 || !CheckOutline(loops[0]));
      continue;
    }
    const auto verdict = JudgeOutline(OutlineOf(shape.walk));
    ASSERT_TRUE(verdict.has_value()) << verdict.error().message;
    EXPECT_EQ(verdict->shifts.has_value(), shape.shifts);
    EXPECT_EQ(verdict->half_turns.has_value(), shape.conway);
    EXPECT_NEAR(verdict->area_mm2, 100.0 * shape.cells, 1e-9);
    for (const auto* repeat : {&verdict->shifts, &verdict->half_turns}) {
      if (!*repeat) continue;
      const LatticeSteps& s = (*repeat)->steps;
      EXPECT_NEAR(Cross(s.across, s.down),
                  verdict->area_mm2 * static_cast<double>((*repeat)->cell.size()), 1e-6);
      const double shorter = std::min(Dot(s.across, s.across), Dot(s.down, s.down));
      EXPECT_LE(2 * std::abs(Dot(s.across, s.down)), shorter + 1e-6);
    }
    count[2] += verdict->shifts.has_value();
    count[3] += verdict->shifts && verdict->half_turns;
    count[4] += !verdict->shifts && verdict->half_turns;
  }
  // A000105, A001419, A075198, A075200, A075201 for 1 to 9 cells.
  const std::array<std::array<int, 9>, 5> published{{{1, 1, 2, 5, 12, 35, 108, 369, 1285},
                                                     {0, 0, 0, 0, 0, 0, 1, 6, 37},
                                                     {1, 1, 2, 5, 9, 24, 41, 121, 213},
                                                     {1, 1, 2, 5, 9, 24, 41, 121, 212},
                                                     {0, 0, 0, 0, 3, 11, 60, 199, 748}}};
  for (int n = 1; n <= 9; ++n) {
    for (std::size_t k = 0; k < 5; ++k) {
      EXPECT_EQ(counts[n][k], published[k][static_cast<std::size_t>(n - 1)]) << n << " cells, " << k;
    }
  }
}

// The repeat that is claimed really covers: laid out about the tile, no place of a cell is
// covered twice or left bare. Places are taken inside squares, so no seam is hit.
TEST(PolyominoTable, ClaimedRepeatsCoverThePlaneOnce) {
  int checked = 0;
  for (const Shape& shape : Table()) {
    if (shape.hole || shape.cells < 5) continue;
    SCOPED_TRACE(shape.squares);
    const Outline tile = OutlineOf(shape.walk);
    const auto verdict = JudgeOutline(tile);
    ASSERT_TRUE(verdict.has_value());
    for (const auto* repeat : {&verdict->shifts, &verdict->half_turns}) {
      if (!*repeat || ++checked % 5) continue;  // Every fifth keeps the test under a second.
      const Repeat& r = **repeat;
      std::vector<Outline> around;
      for (int i = -6; i <= 6; ++i) {
        for (int j = -6; j <= 6; ++j) {
          for (const Pose& pose : r.cell) {
            Pose moved = pose;
            moved.at = moved.at + static_cast<double>(i) * r.steps.across +
                       static_cast<double>(j) * r.steps.down;
            around.push_back(Apply(moved, tile));
          }
        }
      }
      const Box box = BoundingBox(tile);
      for (double x = box.left + 5; x < box.right; x += 10) {
        for (double y = box.top + 5; y < box.bottom; y += 10) {
          int covers = 0;
          for (const Outline& o : around) covers += Contains(o, {x + 0.1, y + 0.2});
          ASSERT_EQ(covers, 1) << x << ", " << y;
        }
      }
    }
  }
  EXPECT_GT(checked, 1000);
}

}  // namespace
}  // namespace truepull
